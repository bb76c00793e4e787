package main

import (
	"errors"
	"fmt"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"moldtally/boxfit"
	"moldtally/estimate/rubber"
	"moldtally/render/words"
)

// flagError words what pflag found wrong: exit 2.
func flagError(c *cobra.Command, err error) error {
	var missing *pflag.NotExistError
	var needs *pflag.ValueRequiredError
	var invalid *pflag.InvalidValueError
	var syntax *pflag.InvalidSyntaxError
	var bad *badValue
	see := "see moldtally " + strings.TrimPrefix(c.CommandPath(), "moldtally ") + " --help"
	if c.CommandPath() == "moldtally" {
		see = "see moldtally --help"
	}
	switch {
	case errors.As(err, &bad) && errors.As(err, &invalid):
		s := fmt.Sprintf("--%s: %q %s", invalid.GetFlag().Name, invalid.GetValue(), bad.what)
		if bad.reason != "" {
			s += ": " + bad.reason
		}
		if v, ok := invalid.GetFlag().Value.(*value); ok && len(v.choices) > 0 {
			return usagef("choose one of: "+bad.accept, "%s", s)
		}
		return usagef("write it like "+bad.accept, "%s", s)
	case errors.As(err, &missing):
		name := missing.GetSpecifiedName()
		if missing.GetSpecifiedShortnames() != "" {
			return usagef(see, "%s has no flag -%s", c.CommandPath(), name)
		}
		var names []string
		c.Flags().VisitAll(func(f *pflag.Flag) { names = append(names, f.Name) })
		hint := see
		if near := words.Nearest(name, names); near != "" {
			hint = "did you mean --" + near + "? " + see
		} else if other := commandWith(c.Root(), name); other != "" {
			hint = "moldtally " + other + " has it; " + see
		}
		return usagef(hint, "%s has no flag --%s", c.CommandPath(), name)
	case errors.As(err, &needs):
		return usagef(see, "--%s needs a value", strings.TrimLeft(needs.GetSpecifiedName(), "-"))
	case errors.As(err, &invalid):
		return usagef(see, "--%s: %q cannot be read", invalid.GetFlag().Name, invalid.GetValue())
	case errors.As(err, &syntax):
		return usagef(see, "%s is not written like a flag", syntax.GetSpecifiedFlag())
	}
	return usagef(see, "%s", err)
}

// commandWith names a command that has the flag.
func commandWith(root *cobra.Command, flag string) string {
	for _, c := range root.Commands() {
		if c.Flags().Lookup(flag) != nil {
			return c.Name()
		}
	}
	return ""
}

// together refuses flags that say the same thing twice.
func together(c *cobra.Command, hint string, names ...string) error {
	var given []string
	for _, n := range names {
		if c.Flags().Changed(n) {
			given = append(given, "--"+n)
		}
	}
	if len(given) > 1 {
		return usagef(hint, "%s cannot be given together", strings.Join(given, " and "))
	}
	return nil
}

// checkFlags refuses combinations that contradict each other.
func (s *settings) checkFlags(c *cobra.Command) error {
	for _, x := range []struct {
		hint  string
		names []string
	}{
		{"give one: a factor, a height or a longest size", []string{"resize", "height", "longest"}},
		{"give one: a box or a tube", []string{"inside", "inside-tube"}},
		{"give one: they say the same thing", []string{"sg", "in3-per-lb"}},
	} {
		if err := together(c, x.hint, x.names...); err != nil {
			return err
		}
	}
	if n := s.job.Board; n != "" {
		if _, err := boxfit.BoardNamed(n); err != nil {
			hint := "moldtally materials lists them"
			if near := words.Nearest(n, boardNames()); near != "" {
				hint = "did you mean " + near + "? " + hint
			}
			return usagef(hint, "--board: no board is called %q", n)
		}
	}
	changed := c.Flags().Changed
	switch kind := s.job.Container; {
	case changed("inside") && kind != "" && kind != boxfit.Box:
		return usagef("leave --container out", "--inside is a box of your own, --container asks for a %s", kind)
	case changed("inside-tube") && kind != "" && kind != boxfit.Sleeve:
		return usagef("leave --container out", "--inside-tube is a tube of your own, --container asks for a %s", kind)
	case s.job.Rubber.MixBy == rubber.ByVolume && changed("mix") && changed("sg-a") != changed("sg-b"):
		return usagef("give both --sg-a and --sg-b; without them no millilitres are printed", "one part's specific gravity alone does not say how to mix by volume")
	}
	return nil
}
