package main

import (
	"fmt"
	"io"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

func (a *app) manualCommand() *cobra.Command {
	dir := ""
	c := &cobra.Command{
		Use:   "manual --dir FOLDER",
		Short: "Write the manual pages",
		Long: `manual writes a page for each command, in the form that man reads: moldtally.1,
moldtally-plan.1 and so on. The pages are made of the same words as --help.`,
		Example: "moldtally manual --dir ~/.local/share/man/man1",
		Args:    args(0, 0, ""),
		RunE: func(c *cobra.Command, _ []string) error {
			if dir == "" {
				return usagef("write: "+c.UseLine(), "manual needs --dir, the folder to write to")
			}
			var b batch
			defer b.discard()
			for _, p := range append([]*cobra.Command{a.root}, a.root.Commands()...) {
				if p != a.root && !p.IsAvailableCommand() {
					continue
				}
				name := strings.ReplaceAll(p.CommandPath(), " ", "-") + ".1"
				if err := b.add(filepath.Join(dir, name), func(w io.Writer) error { return a.manualPage(w, p) }); err != nil {
					return err
				}
			}
			return b.commit()
		},
	}
	g := groups{}
	add := g.add("Where")
	v := fileValue(&dir)
	v.typ = "FOLDER"
	add(v, "dir", "folder to write the pages to")
	g.add("Common")
	g.help()
	a.install(c, g)
	return c
}

// manualPage writes a page in the man macros (man(7)); it bears no date, so
// that the same version gives the same bytes.
func (a *app) manualPage(w io.Writer, c *cobra.Command) error {
	var b strings.Builder
	title := strings.ToUpper(strings.ReplaceAll(c.CommandPath(), " ", "-"))
	fmt.Fprintf(&b, ".TH %q 1 \"\" %q \"User Commands\"\n", title, "moldtally "+version)
	fmt.Fprintf(&b, ".SH NAME\n%s \\- %s\n", roff(strings.ReplaceAll(c.CommandPath(), " ", "-")), roff(lowerFirst(c.Short)))
	fmt.Fprintf(&b, ".SH SYNOPSIS\n.B %s\n", roff(c.UseLine()))
	text := c.Long
	if text == "" {
		text = c.Short + "."
	}
	fmt.Fprintf(&b, ".SH DESCRIPTION\n%s\n", roffText(text))
	if c.HasAvailableSubCommands() {
		fmt.Fprint(&b, ".SH COMMANDS\n")
		for _, s := range c.Commands() {
			if s.IsAvailableCommand() {
				fmt.Fprintf(&b, ".TP\n.B %s\n%s\n", roff(s.Name()), roff(s.Short))
			}
		}
	}
	if gs := a.flagGroups(c); len(gs) > 0 {
		fmt.Fprint(&b, ".SH OPTIONS\n")
		for _, g := range gs {
			if len(gs) > 1 {
				fmt.Fprintf(&b, ".SS %s\n", roff(g.title))
			}
			g.flags.VisitAll(func(f *pflag.Flag) {
				arg, usage := pflag.UnquoteUsage(f)
				name := "--" + f.Name
				if f.Shorthand != "" {
					name = "-" + f.Shorthand + ", " + name
				}
				fmt.Fprintf(&b, ".TP\n\\fB%s\\fR", roff(name))
				if arg != "" {
					fmt.Fprintf(&b, " \\fI%s\\fR", roff(arg))
				}
				fmt.Fprintf(&b, "\n%s\n", roff(usage))
			})
		}
	}
	if c.Example != "" {
		fmt.Fprint(&b, ".SH EXAMPLES\n.nf\n")
		for _, l := range strings.Split(strings.TrimSpace(c.Example), "\n") {
			fmt.Fprintf(&b, "%s\n", roff(strings.TrimSpace(l)))
		}
		fmt.Fprint(&b, ".fi\n")
	}
	fmt.Fprint(&b, `.SH EXIT STATUS
.TP
.B 0
done
.TP
.B 1
a pattern or the job failed; other patterns are still reported
.TP
.B 2
the command line is wrong
.TP
.B 3
done, but with \-\-strict and an open stop
.TP
.B 130
stopped by Ctrl\-C
`)
	if c != a.root {
		fmt.Fprint(&b, ".SH SEE ALSO\n.BR moldtally (1)\n")
	}
	_, err := io.WriteString(w, b.String())
	return err
}

// roff escapes text for one line of a page.
func roff(s string) string {
	s = strings.NewReplacer(`\`, `\e`, "-", `\-`, "…", "...", "\n", " ").Replace(s)
	if strings.HasPrefix(s, ".") || strings.HasPrefix(s, "'") {
		s = `\&` + s
	}
	return s
}

// roffText sets paragraphs; an empty line divides them, an indented line stays
// a line of its own.
func roffText(s string) string {
	var out []string
	for _, l := range strings.Split(strings.TrimSpace(s), "\n") {
		switch t := strings.TrimSpace(l); {
		case t == "":
			out = append(out, ".PP")
		case strings.HasPrefix(l, "  "):
			out = append(out, ".br", roff(t))
		default:
			out = append(out, roff(t))
		}
	}
	return strings.Join(out, "\n")
}

func lowerFirst(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}
