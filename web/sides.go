package web

import (
	"strings"

	"clothwright/body"
)

// sideField is a measure that may be taken left and right apart, as both were typed.
type sideField struct {
	Name, Title, Unit string
	Left, Right       sideTyped
}

// sideTyped is what was typed for one side, and what there is to say to it.
type sideTyped struct{ Text, Wrong, Reading string }

// sidesOf reads what was taken on one side alone.
func sidesOf(r *Record, w *Words) (list []sideField, wrong int) {
	t := tapeOf(r.Unit)
	for _, n := range body.Sided {
		m, ok := body.Lookup(string(n))
		if !ok {
			continue
		}
		f := sideField{Name: string(n), Title: w.measure(m), Unit: r.Unit}
		if m.Kind == body.Angle {
			f.Unit = "°"
		}
		for side, of := range map[*sideTyped]map[string]Typed{&f.Left: r.Left, &f.Right: r.Right} {
			side.Text = of[f.Name].Text
			if strings.TrimSpace(side.Text) == "" {
				continue
			}
			_, reading, err := readMeasure(m, side.Text, unitOf(r), t)
			if side.Reading = reading; err != nil {
				side.Wrong = sentence(w.SayError(err))
				wrong++
			}
		}
		list = append(list, f)
	}
	return list, wrong
}

// takeSides takes what the form holds of one side alone. A figure that was changed is no longer confirmed.
func (v *visit) takeSides(r *Record) {
	for _, n := range body.Sided {
		for side, into := range map[string]*map[string]Typed{"left": &r.Left, "right": &r.Right} {
			key := side + "." + string(n)
			if !v.r.PostForm.Has(key) {
				continue
			}
			text := v.form(key)
			if text == "" {
				delete(*into, string(n))
				continue
			}
			if *into == nil {
				*into = map[string]Typed{}
			}
			if old := (*into)[string(n)]; old.Text != text {
				(*into)[string(n)] = Typed{Text: text}
			}
		}
	}
}

// takeHouse takes the house file that was chosen, when there is one of that name.
func (v *visit) takeHouse(r *Record) error {
	if !v.r.PostForm.Has("house") {
		return nil
	}
	name := v.form("house")
	if name == "" || name == r.House {
		r.House = name
		return nil
	}
	list, err := v.s.store.Houses()
	if err == nil && has(list, name) {
		r.House = name
	}
	return err
}

// houses are the house files a job may choose from, the one it has among them.
func (v *visit) houses(r *Record) ([]string, error) {
	list, err := v.s.store.Houses()
	if err == nil && r.House != "" && !has(list, r.House) {
		list = append(list, r.House)
	}
	return list, err
}

// houseTitle is a house file's name as it is shown.
func houseTitle(name string) string {
	return titled(strings.NewReplacer("-", " ", "_", " ").Replace(strings.TrimSuffix(strings.TrimPrefix(name, "."), ".toml")))
}
