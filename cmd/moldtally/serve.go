package main

import (
	"context"
	"errors"
	"fmt"
	"net"
	"net/http"
	"os/exec"
	"runtime"
	"strings"
	"time"

	"github.com/spf13/cobra"
)

// How long the server waits; judgements of this program.
const (
	headerTime = 10 * time.Second // for the head of a request
	idleTime   = 2 * time.Minute  // between two requests
	stopTime   = 3 * time.Second  // for answers under way when it is stopped
	headerSize = 16 << 10         // bytes of a request's head
)

// serving is what the flags of serve fill.
type serving struct {
	listen string
	noOpen bool
}

func (a *app) serveCommand() *cobra.Command {
	s, v := &settings{}, &serving{}
	c := &cobra.Command{
		Use:   "serve",
		Short: "The same plan as a page in your browser, on your own machine",
		Long: `serve opens a page on this machine: drop a pattern's file on it, turn the pattern,
compare the ways to mold it, change wall, rubber or size and read the weights anew;
then save the bench sheet, the quote, drawings and models. It is the plan of
moldtally plan, and the page shows the command line that gives it. Only this machine
reaches the page, unless --listen names another address: then its address holds a
word that nobody guesses, but whoever reads the wire reads that too. Files that are
dropped are kept in a folder of their own until Ctrl-C stops the server, then removed.`,
		Example: `moldtally serve
moldtally serve --no-open --shop shop.toml
moldtally serve --listen 0.0.0.0:8080`,
		Args: args(0, 0, ""),
		RunE: func(c *cobra.Command, _ []string) error {
			a.quiet = s.quiet
			return a.serve(c.Context(), s.shop, v)
		},
	}
	g := groups{}
	add := g.add("Where")
	listen := textValue("HOST:PORT", &v.listen)
	add(listen, "listen", "answer other machines too, at this address; a word in the page's address lets in (this machine alone, at a free port)")
	g.switches(&v.noOpen, "no-open", "print the page's address and open no browser")
	g.add("Stock")
	s.shopFlag(&g)
	g.add("Common")
	g.switches(&s.quiet, "quiet", "print the page's address and nothing else")
	g.help()
	a.install(c, g)
	return c
}

// serve answers until ctx ends.
func (a *app) serve(ctx context.Context, shop string, v *serving) error {
	at := "127.0.0.1:0"
	if v.listen != "" {
		at = v.listen
		if _, _, err := net.SplitHostPort(at); err != nil {
			at = net.JoinHostPort(strings.Trim(at, "[]"), "0")
		}
	}
	ln, err := net.Listen("tcp", at)
	if err != nil {
		return &failure{fmt.Sprintf("the page cannot be served at %s: %v", at, cause(err)), "no page was opened", "name another address with --listen HOST:PORT, or leave it out"}
	}
	defer ln.Close()
	srv, err := newServer(ctx, ln.Addr().(*net.TCPAddr), v.listen != "", shop)
	if err != nil {
		return err
	}
	defer srv.close()
	hs := &http.Server{Handler: srv, ReadHeaderTimeout: headerTime, IdleTimeout: idleTime, MaxHeaderBytes: headerSize, ErrorLog: nobody()}
	served := make(chan error, 1)
	go func() { served <- hs.Serve(ln) }()
	if _, err := fmt.Fprintln(a.out, srv.address()); err != nil {
		return &failure{fmt.Sprintf("the page's address cannot be printed: %v", cause(err)), "nobody would find the page", "give it somewhere to write to"}
	}
	a.note("the page is there until you stop this with Ctrl-C; what is dropped on it is removed then")
	if !v.noOpen {
		if err := openBrowser(srv.address()); err != nil {
			a.note("no browser was opened (%v): open the address above", cause(err))
		}
	}
	select {
	case err := <-served:
		return &failure{fmt.Sprintf("the page is no longer served: %v", cause(err)), "what was dropped on it is gone", "start it again"}
	case <-ctx.Done():
	}
	srv.stop()
	end, cancel := context.WithTimeout(context.Background(), stopTime)
	defer cancel()
	if err := hs.Shutdown(end); errors.Is(err, context.DeadlineExceeded) {
		hs.Close()
	}
	a.status = exitInterrupted
	return nil
}

// openBrowser asks the desktop to show an address.
func openBrowser(address string) error {
	name, args := "xdg-open", []string{address}
	switch runtime.GOOS {
	case "darwin":
		name = "open"
	case "windows":
		name, args = "rundll32", []string{"url.dll,FileProtocolHandler", address}
	}
	c := exec.Command(name, args...)
	if err := c.Start(); err != nil {
		return err
	}
	go c.Wait() // so that it is not left behind
	return nil
}
