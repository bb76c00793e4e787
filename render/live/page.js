// The page: patterns on the bench, what is said on the ticket, and the plan that comes
// of it. All that is told of a plan is worded by the server.
import * as work from './work.js';

const $ = (id) => document.getElementById(id);
const bench = $('bench'), ticket = $('ticket'), stage = $('stage');
const most = Number(document.body.dataset.most);
const seat = Array.from(crypto.getRandomValues(new Uint32Array(4)), (n) => n.toString(16)).join('');

let patterns = [], chosen = null; // what lies on the bench, and which of it is planned
let running = null; // what would stop the plan that is asked for
let view = null, shown = null;

// The view is fetched beside the page, so that the ticket does not wait for it.
const viewing = import('./view.js').then(({ View }) => {
  view = new View(stage, { place: showPlace, face: restOn });
  return view;
}).catch(() => { stage.hidden = true; $('no-view').hidden = false; return null; });

// ---- patterns

async function take(files) {
  for (const f of files) {
    if (f.size > most) { trouble({ summary: f.name + ' is too large for the page', hint: 'plan it on the command line: moldtally plan FILE' }); continue; }
    try {
      $('upload').textContent = f.name + ' is read …';
      add(await work.upload(f, (share) => { $('upload').textContent = f.name + ': ' + Math.round(100 * share) + ' % is read'; }));
      $('upload').textContent = '';
    } catch (e) { $('upload').textContent = ''; trouble(e.told); }
  }
}

function add(p) {
  patterns.push(p);
  choose(patterns.length > 1 && ticket.querySelector('[data-flag=together]')?.checked ? chosen : p);
}

function choose(p) {
  chosen = p;
  const list = $('shelf');
  list.replaceChildren(...patterns.map((x) => {
    const li = document.createElement('li'), b = document.createElement('button'), r = document.createElement('button');
    b.type = r.type = 'button';
    b.textContent = x.name;
    if (x === chosen) b.setAttribute('aria-current', 'true');
    b.onclick = () => choose(x);
    r.textContent = '×';
    r.setAttribute('aria-label', 'Take ' + x.name + ' off the bench');
    r.onclick = () => { work.remove(x.id); patterns = patterns.filter((y) => y !== x); choose(patterns.includes(chosen) ? chosen : patterns[0] || null); };
    li.append(b, r);
    return li;
  }));
  bench.hidden = !chosen;
  if (chosen) plan();
}

$('file').onchange = (e) => { take([...e.target.files]); e.target.value = ''; };
for (const b of document.querySelectorAll('[data-sample]')) {
  b.onclick = async () => { try { add(await work.sample(b.dataset.sample)); } catch (e) { bench.hidden = false; trouble(e.told); } };
}
addEventListener('dragover', (e) => { e.preventDefault(); document.body.classList.add('over'); });
addEventListener('dragleave', (e) => { if (!e.relatedTarget) document.body.classList.remove('over'); });
addEventListener('drop', (e) => { e.preventDefault(); document.body.classList.remove('over'); take([...e.dataTransfer.files]); });

// ---- the ticket

const fields = [...ticket.querySelectorAll('[data-flag]')];
const field = (flag) => fields.find((f) => f.dataset.flag === flag);

function said() {
  const flags = {};
  for (const f of fields) {
    if (f.type === 'checkbox') { if (f.checked) flags[f.dataset.flag] = ''; } else if (f.value.trim()) flags[f.dataset.flag] = f.value.trim();
  }
  return flags;
}

function say(flag, value, words) {
  const f = field(flag);
  if (f.tagName === 'SELECT' && ![...f.options].some((o) => o.value === value)) f.add(new Option(words || value, value));
  f.value = value;
  fit(f);
  plan();
}

// A blank is as wide as what stands in it.
function fit(f) {
  if (f.tagName === 'SELECT') {
    f.style.width = '';
    if (f.closest('.blank')) f.style.width = (f.selectedOptions[0].text.length + 3) + 'ch';
  }
}
fields.forEach(fit);

let soon = 0;
ticket.addEventListener('input', (e) => {
  if (e.target.tagName === 'SELECT') fit(e.target);
  clearTimeout(soon);
  soon = setTimeout(plan, e.target.type === 'text' ? 350 : 0);
});
ticket.addEventListener('submit', (e) => e.preventDefault());
ticket.addEventListener('reset', () => setTimeout(() => { fields.forEach(fit); plan(); }));

// ---- the plan

async function plan() {
  if (!chosen) return;
  clearTimeout(soon);
  soon = 0;
  running?.abort();
  const me = running = new AbortController();
  const late = setTimeout(() => busy({ waiting: false, stage: '', share: -1 }), 120);
  bench.classList.add('stale');
  bench.setAttribute('aria-busy', 'true');
  try {
    const flags = said();
    const id = await work.ask(seat, 'together' in flags ? patterns.map((p) => p.id) : [chosen.id], flags);
    if (me.signal.aborted) return;
    await work.follow(id, (s) => { if (!me.signal.aborted && bench.classList.contains('slow')) busy(s); }, me.signal);
    const r = await work.results(id, me.signal);
    if (me.signal.aborted) return;
    tell(r);
    done(late);
    await look(id, r, me.signal);
  } catch (e) {
    if (me.signal.aborted || e.name === 'AbortError') return;
    if (!e.told) throw e;
    done(late);
    bench.classList.add('stale'); // the figures are of another job
    trouble(e.told);
  } finally { clearTimeout(late); }
}

function busy(s) {
  bench.classList.add('slow');
  $('busy').hidden = false;
  $('busy').firstElementChild.textContent = s.waiting ? 'It waits for its turn.' : s.stage ? 'At work: ' + s.stage : 'At work';
  const bar = $('busy').lastElementChild;
  if (s.share >= 0) bar.value = s.share; else bar.removeAttribute('value');
}

function done(late) {
  clearTimeout(late);
  bench.classList.remove('stale', 'slow');
  bench.removeAttribute('aria-busy');
  $('busy').hidden = true;
  $('trouble').hidden = true;
}

function trouble(told) {
  const t = $('trouble');
  t.replaceChildren(...[['strong', told?.summary], ['span', told?.effect], ['em', told?.hint]].filter((x) => x[1]).map(([tag, text]) => {
    const e = document.createElement(tag);
    e.textContent = text[0].toUpperCase() + text.slice(1) + (/[.!?…]$/.test(text) ? '' : '.');
    return e;
  }));
  t.hidden = false;
  bench.hidden = false;
}

function tell(r) {
  shown = r;
  for (const part of ['answer', 'ways', 'papers', 'command']) $(part).innerHTML = r[part];
  const open = $('sheet').firstElementChild?.open;
  $('sheet').innerHTML = r.sheet;
  if (open) $('sheet').firstElementChild.open = true;
  document.title = r.file + ' – moldtally';
  $('told').textContent = '';
  slideTo(r.wall_mm);
  ticks().forEach((t, i) => { t.checked = sessionStorage.getItem(tickName(i)) === '1'; });
}

async function look(id, r, signal) {
  if (!(await viewing)) {
    const blob = await work.file('plans/' + id + '/files/picture.png', signal);
    let im = $('no-view').querySelector('img');
    if (!im) { im = document.createElement('img'); $('no-view').append(im); }
    im.alt = 'The pattern in its container, from four sides, colored by how far rubber must bend';
    im.src = URL.createObjectURL(blob);
    return;
  }
  const blob = await work.file('plans/' + id + '/files/model.glb', signal);
  const model = await blob.arrayBuffer();
  if (signal.aborted) return;
  view.show(model, r);
  view.apart(Number($('pull').value) / 100);
  view.cut(Number($('section').value) / 100);
  $('key').replaceChildren(...view.key().map(([color, words]) => {
    const li = document.createElement('li'), i = document.createElement('i');
    i.style.background = color;
    li.append(i, words);
    return li;
  }));
}

// ---- what is told is answered to

document.addEventListener('click', async (e) => {
  const b = e.target.closest('button, a');
  if (!b) return;
  if (b.dataset.mold) say('mold', field('mold').value === b.dataset.mold ? '' : b.dataset.mold);
  if (b.dataset.place) { showPlace(Number(b.dataset.place)); stage.scrollIntoView({ block: 'nearest' }); }
  if (b.id === 'copy') {
    await navigator.clipboard?.writeText($('line').textContent);
    b.textContent = 'Copied';
  }
  if (b.matches('.papers a')) {
    e.preventDefault();
    save(b);
  }
});

// save fetches a file first, so that what goes wrong is told.
async function save(a) {
  a.setAttribute('aria-busy', 'true');
  try {
    const blob = await work.file(a.getAttribute('href'));
    const to = document.createElement('a');
    to.href = URL.createObjectURL(blob);
    to.download = shown.file.replace(/\.[^.]*$/, '') + '-' + a.getAttribute('href').split('/').pop();
    to.click();
    setTimeout(() => URL.revokeObjectURL(to.href), 60000);
  } catch (e) { if (e.told?.gone) plan(); else trouble(e.told); }
  a.removeAttribute('aria-busy');
}

function showPlace(n) {
  const p = shown?.places.find((x) => x.number === n);
  if (!p) return;
  $('told').textContent = p.number + '. ' + p.summary + ' ' + p.effect + ' ' + p.hint;
  view?.point(n);
}

// Cups that are ticked off stay so while the job is the same.
const ticks = () => [...$('answer').querySelectorAll('.ticks input')];
const tickName = (i) => 'tick ' + $('line').textContent + ' ' + i;
$('answer').addEventListener('change', (e) => { const i = ticks().indexOf(e.target); if (i >= 0) sessionStorage.setItem(tickName(i), e.target.checked ? '1' : '0'); });

// ---- knobs of the view

// The wall is slid as well as written: what is slid is said on the ticket.
const wall = $('wall');
const measured = (mm) => (shown?.us ? (mm / 25.4).toFixed(2) + ' in' : Math.round(10 * mm) / 10 + ' mm');

function slideTo(mm) {
  if (soon || document.activeElement === wall && bench.classList.contains('stale')) return;
  wall.disabled = !mm;
  if (!mm) { $('wall-is').textContent = ''; return; }
  wall.max = Math.max(40, Math.ceil(mm));
  wall.value = mm;
  $('wall-is').textContent = measured(mm);
}

wall.oninput = () => {
  const mm = Number(wall.value), f = field(shown?.coated ? 'coat' : 'wall');
  $('wall-is').textContent = measured(mm);
  wall.setAttribute('aria-valuetext', measured(mm));
  f.value = measured(mm).replace(' ', '');
  clearTimeout(soon);
  soon = setTimeout(plan, 40);
};

$('section').oninput = (e) => view?.cut(Number(e.target.value) / 100);
$('pull').oninput = (e) => view?.apart(Number(e.target.value) / 100);
$('film').onclick = () => view?.film((share) => { $('pull').value = 100 * share; });
$('home').onclick = () => view?.home();
$('rest').onclick = () => rest($('rest').getAttribute('aria-pressed') !== 'true');

function rest(on) {
  $('rest').setAttribute('aria-pressed', String(on));
  stage.classList.toggle('resting', on);
  $('told').textContent = on ? 'Click the face that is to lie on the board.' : '';
  if (view) view.resting = on;
}

function restOn(up) {
  rest(false);
  say('up', up, 'the face you clicked on the board');
}

// The screen of a tablet on the bench stays on while it is asked to.
let awake = null;
$('awake').onclick = async () => {
  if (awake) { await awake.release(); awake = null; } else {
    try { awake = await navigator.wakeLock.request('screen'); } catch { $('told').textContent = 'This browser does not keep the screen on here.'; }
  }
  $('awake').setAttribute('aria-pressed', String(!!awake));
};
document.addEventListener('visibilitychange', async () => {
  if (awake && document.visibilityState === 'visible') { try { awake = await navigator.wakeLock.request('screen'); } catch { awake = null; } }
});
