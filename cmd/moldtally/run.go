package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/signal"
	"strings"
	"syscall"

	"github.com/spf13/cobra"

	"moldtally/render/words"
)

// version is set by the linker for a release (-ldflags "-X main.version=…");
// it never depends on the machine that builds.
var version = "dev"

// errVersion asks for the version and nothing else. Cobra's own version flag
// speaks through a template, and text/template finds methods by name: with it in
// the program the linker keeps every exported method, 3 MB of them.
var errVersion = errors.New("the version is asked for")

// run is the whole program with its streams as arguments; it returns the exit
// status.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt, syscall.SIGTERM)
	defer stop()
	// A second Ctrl-C ends the program at once.
	context.AfterFunc(ctx, stop)
	return runContext(ctx, args, stdin, stdout, stderr)
}

// app is one run of the program.
type app struct {
	*ui
	root   *cobra.Command
	groups map[*cobra.Command]groups
	status int // what the command came to
}

func runContext(ctx context.Context, args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	a := newApp(stdin, stdout, stderr)
	a.root.SetArgs(args)
	switch err := a.root.ExecuteContext(ctx); {
	case errors.Is(err, errVersion):
		fmt.Fprintf(stdout, "moldtally %s\n", version)
	case err != nil:
		if ctx.Err() != nil && errors.Is(err, ctx.Err()) {
			err = context.Canceled
		}
		return a.fail("", err)
	}
	return a.status
}

func newApp(stdin io.Reader, stdout, stderr io.Writer) *app {
	a := &app{ui: newUI(stdin, stdout, stderr), groups: map[*cobra.Command]groups{}}
	root := &cobra.Command{
		Use:   "moldtally",
		Short: "Sizes flexible rubber molds from a pattern's mesh",
		Long: `moldtally reads the mesh of a pattern and says whether it comes out of a rubber
mold, which container holds the pour, how much rubber that takes, parts A and B
for the scale, and whether the rubber should be soft or firm.`,
		Example: `moldtally plan finial.stl
moldtally plan finial.stl --height 180mm --rubber auto --png finial.png
moldtally check scan.ply
moldtally pour --box "6in,4in,1 1/2in" --in3-per-lb 25 --mix 1:1`,
		Args:          cobra.ArbitraryArgs,
		SilenceErrors: true, SilenceUsage: true,
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 0 {
				c.SetOut(a.err)
				c.Help()
				a.status = exitUsage
				return nil
			}
			return a.unknownCommand(args[0])
		},
	}
	a.root = root
	root.SetIn(stdin)
	root.SetOut(stdout)
	root.SetErr(stderr)
	root.SetFlagErrorFunc(flagError)
	root.SetHelpFunc(a.help)
	root.SetUsageFunc(func(c *cobra.Command) error { a.help(c, nil); return nil })
	g := groups{}
	g.add("Common")
	g.help()
	a.install(root, g)
	root.AddCommand(
		a.planCommand(&settings{}), a.checkCommand(), a.demoldCommand(), a.containersCommand(), a.pourCommand(),
		a.quoteCommand(), a.previewCommand(), a.materialsCommand(), a.shopCommand(), a.serveCommand(), a.manualCommand(),
	)
	root.SetHelpCommand(a.helpCommand())
	root.InitDefaultHelpCmd()
	root.InitDefaultCompletionCmd()
	return a
}

// install puts groups of flags on a command, where help finds them again, and
// completes the words of flags that are a choice.
func (a *app) install(c *cobra.Command, g groups) {
	for _, x := range g {
		c.Flags().AddFlagSet(x.flags)
	}
	c.Flags().SortFlags = false
	c.DisableFlagsInUseLine = true
	a.groups[c] = g
	check := c.Args
	c.Args = func(c *cobra.Command, args []string) error {
		if show, _ := c.Flags().GetBool("version"); show {
			return errVersion
		}
		return check(c, args)
	}
	for _, x := range g {
		x.flags.VisitAll(completeFlag(c))
	}
}

func (a *app) unknownCommand(name string) error {
	var names []string
	for _, c := range a.root.Commands() {
		if c.IsAvailableCommand() {
			names = append(names, c.Name())
		}
	}
	hint := "see moldtally --help"
	if near := words.Nearest(name, names); near != "" {
		hint = "did you mean moldtally " + near + "? " + hint
	} else if _, err := os.Stat(name); err == nil {
		hint = fmt.Sprintf("to plan a mold for it: moldtally plan %s", name)
	}
	return usagef(hint, "there is no command %q", name)
}

// args checks the number of arguments of a command.
func args(least, most int, what string) cobra.PositionalArgs {
	return func(c *cobra.Command, args []string) error {
		see := "see " + c.CommandPath() + " --help"
		switch {
		case len(args) < least:
			return usagef("write: "+c.UseLine(), "%s needs %s", c.CommandPath(), what)
		case most >= 0 && len(args) > most:
			if most == 0 {
				return usagef(see, "%s takes no arguments, but %q was given", c.CommandPath(), args[0])
			}
			return usagef(see, "%s takes one %s, but %d were given", c.CommandPath(), strings.TrimPrefix(what, "a "), len(args))
		}
		for _, s := range args {
			if s == "" {
				return usagef(see, "an argument is empty")
			}
		}
		return nil
	}
}
