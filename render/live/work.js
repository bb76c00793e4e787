// What the page asks its server for. Addresses are relative, so that a word in the
// page's own address goes with them.

// Trouble is what went wrong, in the server's three parts.
export class Trouble extends Error {
  constructor(told) {
    super(told.summary || 'the server does not answer');
    this.told = told;
  }
}

const lost = { summary: 'the server does not answer', hint: 'see whether moldtally serve still runs, and load the page again' };

async function read(response) {
  let told = {};
  try { told = await response.json(); } catch { /* it has no words */ }
  if (!response.ok) throw new Trouble(told);
  return told;
}

async function request(address, options) {
  let response;
  try { response = await fetch(address, options); } catch (e) {
    if (e.name === 'AbortError') throw e;
    throw new Trouble(lost);
  }
  return response;
}

// upload sends a file; told is called with the share that is sent.
export function upload(file, told) {
  return new Promise((resolve, reject) => {
    const x = new XMLHttpRequest();
    x.open('POST', 'patterns?name=' + encodeURIComponent(file.name));
    x.setRequestHeader('Content-Type', 'application/octet-stream');
    x.responseType = 'json';
    x.upload.onprogress = (e) => told(e.lengthComputable ? e.loaded / e.total : 0);
    x.onload = () => (x.status === 201 ? resolve(x.response) : reject(new Trouble(x.response || lost)));
    x.onerror = () => reject(new Trouble(lost));
    x.send(file);
  });
}

export const sample = async (name) => read(await request('samples/' + name, { method: 'POST' }));

export const remove = (id) => request('patterns/' + id, { method: 'DELETE' });

// ask asks for a plan and returns where it will be.
export async function ask(seat, patterns, flags) {
  const body = JSON.stringify({ seat, patterns, flags });
  return (await read(await request('plans', { method: 'POST', headers: { 'Content-Type': 'application/json' }, body }))).id;
}

// follow waits for a plan; step is called with how far it is. stop ends the waiting.
export function follow(id, step, stop) {
  return new Promise((resolve, reject) => {
    const s = new EventSource('plans/' + id + '/events');
    const end = (f, x) => { s.close(); f(x); };
    stop.addEventListener('abort', () => end(reject, new DOMException('', 'AbortError')));
    s.addEventListener('step', (e) => step(JSON.parse(e.data)));
    s.addEventListener('done', (e) => {
      const told = JSON.parse(e.data);
      if (told) end(reject, new Trouble(told)); else end(resolve);
    });
    s.onerror = () => end(reject, new Trouble(lost));
  });
}

export const results = async (id, signal) => read(await request('plans/' + id + '/results', { signal }));

// file is a file of a plan, as bytes.
export async function file(address, signal) {
  const response = await request(address, { signal });
  if (!response.ok) await read(response);
  return response.blob();
}
