package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
)

// help prints what a command does, examples, and its flags in the order of
// need.
func (a *app) help(c *cobra.Command, _ []string) {
	w := c.OutOrStdout()
	cols := width(w)
	use := c.UseLine()
	if !strings.HasSuffix(use, " [flags]") && c != a.root {
		use += " [flags]"
	}
	if c == a.root {
		use += " COMMAND [flags]"
	}
	fmt.Fprintf(w, "%s\n", use)
	text := c.Long
	if text == "" {
		text = c.Short
	}
	fmt.Fprintf(w, "\n%s\n", strings.TrimSpace(text))
	if c.Example != "" {
		fmt.Fprintf(w, "\nExamples:\n")
		for _, l := range strings.Split(strings.TrimSpace(c.Example), "\n") {
			fmt.Fprintf(w, "  %s\n", strings.TrimSpace(l))
		}
	}
	if c.HasAvailableSubCommands() {
		fmt.Fprintf(w, "\nCommands:\n")
		for _, s := range c.Commands() {
			if s.IsAvailableCommand() {
				fmt.Fprintf(w, "  %-12s %s\n", s.Name(), s.Short)
			}
		}
	}
	for _, g := range a.flagGroups(c) {
		fmt.Fprintf(w, "\n%s:\n%s", g.title, flagUsages(g.flags, cols))
	}
	if c == a.root {
		fmt.Fprint(w, `
Lengths are written 12mm 1.2cm 0.5in 1/2in "5 1/4in" 5-1/4in 2ft; a bare number
is mm. Masses g kg oz lb; volumes ml l cm3 in3 floz gal; temperatures C F.

Exit status: 0 done; 1 a pattern or the job failed; 2 the command line is wrong;
3 done, but with --strict and an open stop; 130 stopped by Ctrl-C.
`)
	}
}

// flagUsages sets flags in two columns, the right one wrapped.
func flagUsages(fs *pflag.FlagSet, cols int) string {
	const indent, gap, most = 2, 2, 24
	type row struct{ flag, usage string }
	var rows []row
	left := 0
	fs.VisitAll(func(f *pflag.Flag) {
		if f.Hidden {
			return
		}
		arg, usage := pflag.UnquoteUsage(f)
		s := "--" + f.Name
		if f.Shorthand != "" {
			s = "-" + f.Shorthand + ", " + s
		}
		if arg != "" {
			s += " " + arg
		}
		rows = append(rows, row{s, usage})
		if n := len([]rune(s)); n <= most {
			left = max(left, n)
		}
	})
	var b strings.Builder
	at := indent + left + gap
	for _, r := range rows {
		b.WriteString(strings.Repeat(" ", indent) + r.flag)
		col := indent + len([]rune(r.flag))
		if col > at-gap {
			b.WriteByte('\n')
			col = 0
		}
		for _, w := range strings.Fields(r.usage) {
			n := len([]rune(w))
			switch {
			case col <= at-gap:
				b.WriteString(strings.Repeat(" ", at-col))
				col = at
			case col+1+n > cols:
				b.WriteString("\n" + strings.Repeat(" ", at))
				col = at
			default:
				b.WriteByte(' ')
				col++
			}
			b.WriteString(w)
			col += n
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// helpCommand prints help for a command by name.
func (a *app) helpCommand() *cobra.Command {
	return &cobra.Command{
		Use:                   "help [COMMAND]",
		Short:                 "Help about a command",
		DisableFlagsInUseLine: true,
		ValidArgsFunction: func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			var names []string
			for _, c := range a.root.Commands() {
				if c.IsAvailableCommand() {
					names = append(names, c.Name())
				}
			}
			return names, cobra.ShellCompDirectiveNoFileComp
		},
		RunE: func(_ *cobra.Command, args []string) error {
			c, rest, err := a.root.Find(args)
			if err != nil || len(rest) > 0 {
				return a.unknownCommand(args[len(args)-max(1, len(rest))])
			}
			return c.Help()
		},
	}
}

// flagGroups returns a command's flags in groups, also for a command that
// cobra made.
func (a *app) flagGroups(c *cobra.Command) groups {
	if g, ok := a.groups[c]; ok {
		return g
	}
	fs := pflag.NewFlagSet("Flags", pflag.ContinueOnError)
	c.LocalFlags().VisitAll(func(f *pflag.Flag) {
		if !f.Hidden {
			fs.AddFlag(f)
		}
	})
	if !fs.HasFlags() {
		return nil
	}
	return groups{{"Flags", fs}}
}

// meshExtensions are the files a shell offers as patterns.
var meshExtensions = []string{"stl", "obj", "ply", "off", "3mf", "gltf", "glb", "gz", "zip"}

func completePatterns(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
	return meshExtensions, cobra.ShellCompDirectiveFilterFileExt
}

// completeFlag offers a flag's choices, and files only where one is meant.
func completeFlag(c *cobra.Command) func(*pflag.Flag) {
	return func(f *pflag.Flag) {
		v, ok := f.Value.(*value)
		if !ok || v.typ == "FILE" || v.typ == "FOLDER" {
			return
		}
		// It only fails when called twice for one flag.
		_ = c.RegisterFlagCompletionFunc(f.Name, func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
			if v.offer != nil {
				return v.offer(), cobra.ShellCompDirectiveNoFileComp
			}
			return v.choices, cobra.ShellCompDirectiveNoFileComp
		})
	}
}
