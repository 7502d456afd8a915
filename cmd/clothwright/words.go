package main

import (
	"fmt"
	"strings"

	"clothwright/draft"
	"clothwright/tape"
)

type wordsCommand struct{}

// Run prints docs/drafting.md.
func (wordsCommand) Run(w *world) error {
	_, err := fmt.Fprint(w.out, draft.Reference())
	return err
}

type styleCommand struct {
	Garment string `arg:"" default:"rib-zip-jacket" help:"The garment's name, or the path of a script of your own."`
}

// Run lists the choices with their defaults.
func (c styleCommand) Run(w *world) error {
	g, err := garmentNamed(c.Garment)
	if err != nil {
		return err
	}
	t := tape.Tape{Unit: tape.IN, Step: tape.Inch / 16}
	fmt.Fprintln(w.out, g.Title)
	for _, o := range g.Options {
		var allowed string
		switch o.Kind {
		case "choice":
			allowed = fmt.Sprintf("%q; %s", o.Default, strings.Join(o.Choices, ", "))
		case "yes":
			allowed = fmt.Sprintf("%v; true, false", o.Yes)
		default:
			allowed = fmt.Sprintf("%q; %s to %s", t.Format(o.Length), t.Format(o.Least), t.Format(o.Most))
		}
		fmt.Fprintf(w.out, "  %-18s %s\n  %-18s %s\n", o.Name, allowed, "", o.Help)
	}
	return nil
}
