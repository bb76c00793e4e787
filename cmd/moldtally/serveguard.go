package main

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/hex"
	"io"
	"log"
	"net"
	"net/http"
	"net/netip"
	"os"
	"strings"

	"moldtally/render/live"
)

// Who may ask the page's server for anything: a browser that was given its address, and
// no page of anybody else's in that browser. A name that somebody else's server gives
// out for this machine is refused by the Host of the request (DNS rebinding), a request
// that another page makes by its Origin.

// guard is who may ask.
type guard struct {
	addr  *net.TCPAddr
	other bool   // other machines are answered
	word  string // in the path, where other machines are answered; "" = none
}

func newGuard(addr *net.TCPAddr, other bool) guard {
	g := guard{addr: addr, other: other}
	if other {
		g.word = randomName()
	}
	return g
}

// randomName is a name that nobody guesses: 128 bits.
func randomName() string {
	var b [16]byte
	rand.Read(b[:]) // does not fail
	return hex.EncodeToString(b[:])
}

// address is where the page is found.
func (g *guard) address() string {
	at := *g.addr
	if at.IP.IsUnspecified() {
		at.IP = outward()
	}
	s := "http://" + at.String() + "/"
	if g.word != "" {
		s += g.word + "/"
	}
	return s
}

// outward is the first address of this machine that others know it by; its own where
// there is none.
func outward() net.IP {
	list, err := net.InterfaceAddrs()
	if err != nil {
		return net.IPv4(127, 0, 0, 1)
	}
	for _, a := range list {
		if n, ok := a.(*net.IPNet); ok && !n.IP.IsLoopback() && n.IP.To4() != nil {
			return n.IP
		}
	}
	return net.IPv4(127, 0, 0, 1)
}

// lets reports whether a request may be answered, and strips the word off its path.
func (g *guard) lets(w http.ResponseWriter, r *http.Request) bool {
	h := w.Header()
	h.Set("Content-Security-Policy", live.Policy)
	h.Set("X-Content-Type-Options", "nosniff")
	h.Set("X-Frame-Options", "DENY")
	h.Set("Referrer-Policy", "no-referrer")
	h.Set("Cross-Origin-Opener-Policy", "same-origin")
	h.Set("Cross-Origin-Resource-Policy", "same-origin")
	h.Set("Permissions-Policy", "camera=(), geolocation=(), microphone=()")
	h.Set("Cache-Control", "no-store")
	if !g.host(r.Host) {
		refuse(w, http.StatusForbidden, "this server is not called "+short(r.Host), "open the page by the address that moldtally serve printed")
		return false
	}
	if !sameOrigin(r) {
		refuse(w, http.StatusForbidden, "another page asked for this", "open the page by the address that moldtally serve printed")
		return false
	}
	if g.word == "" {
		return true
	}
	word, rest, ok := strings.Cut(strings.TrimPrefix(r.URL.Path, "/"), "/")
	if !ok || subtle.ConstantTimeCompare([]byte(word), []byte(g.word)) != 1 {
		refuse(w, http.StatusNotFound, "there is nothing here", "open the page by the address that moldtally serve printed")
		return false
	}
	r.URL.Path = "/" + rest
	return true
}

// host reports whether a request names this server: by its number, as localhost, or,
// where other machines are answered, by the machine's own name.
func (g *guard) host(name string) bool {
	host, port, err := net.SplitHostPort(name)
	if err != nil {
		host, port = strings.Trim(name, "[]"), "80"
	}
	if at, err := netip.ParseAddrPort("0.0.0.0:" + port); err != nil || int(at.Port()) != g.addr.Port {
		return false
	}
	host = strings.ToLower(strings.TrimSuffix(host, "."))
	if host == "localhost" {
		return g.addr.IP.IsLoopback() || g.addr.IP.IsUnspecified()
	}
	if ip, err := netip.ParseAddr(host); err == nil {
		own, _ := netip.AddrFromSlice(g.addr.IP)
		return ip.Unmap() == own.Unmap() || g.addr.IP.IsUnspecified()
	}
	own, err := os.Hostname()
	own = strings.ToLower(own)
	return g.other && err == nil && (host == own || host == own+".local")
}

// sameOrigin reports whether a request comes of the page itself or of an address that
// was typed. What changes anything has to say that it comes of the page.
func sameOrigin(r *http.Request) bool {
	reads := r.Method == http.MethodGet || r.Method == http.MethodHead
	if s := r.Header.Get("Sec-Fetch-Site"); s != "" && s != "same-origin" && !(reads && s == "none") {
		return false
	}
	origin := r.Header.Get("Origin")
	if origin == "" {
		return reads
	}
	return strings.EqualFold(origin, "http://"+r.Host)
}

// short is what is told of a text that somebody else wrote.
func short(s string) string {
	if len(s) > 80 {
		s = s[:80]
	}
	return strings.ToValidUTF8(s, "?")
}

// nobody is told what goes wrong between the server and a browser that went away.
func nobody() *log.Logger { return log.New(io.Discard, "", 0) }
