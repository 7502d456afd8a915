package body

import "maps"

// Complete returns the card with what follows from its measures and what people like this usually have added to it.
// Measures on the card are left as they are.
func (c Card) Complete() Card {
	out := Card{Figure: c.Figure, Age: c.Age, Values: make(map[Name]Value, len(Measures))}
	maps.Copy(out.Values, c.Values)
	derive(out.Values)
	if _, ok := out.Values["neck_base_girth"]; !ok {
		if v, ok := out.usable("chest_girth"); ok {
			share := 0.40
			switch c.Figure {
			case Women:
				share = 0.394
			case Men:
				share = 0.412
			}
			out.Values["neck_base_girth"] = Value{MM: share * v.MM, From: Estimated, Spread: 0.05 * share * v.MM, Why: "a share of the chest girth"}
		}
	}
	return out
}

// usable is a measure that arithmetic may start from: a number within what a person has.
func (c Card) usable(n Name) (Value, bool) {
	v, ok := c.Values[n]
	m := byName[n]
	if !ok || m == nil || !(v.MM >= m.Least && v.MM <= m.Most) {
		return Value{}, false
	}
	return v, true
}

// derive adds what follows from other measures by arithmetic alone.
func derive(values map[Name]Value) {
	c := Card{Values: values}
	put := func(n Name, mm, spread float64, why string) {
		if _, ok := values[n]; !ok && mm >= byName[n].Least && mm <= byName[n].Most {
			values[n] = Value{MM: mm, From: Derived, Spread: spread, Why: why}
		}
	}
	if nape, ok := c.usable("nape_height"); ok {
		if arm, ok := c.usable("underarm_height"); ok {
			put("underarm_depth", nape.MM-arm.MM, 5, "nape height less underarm height")
		}
	}
	if b, ok := c.usable("biacromial_breadth"); ok {
		put("shoulder_width", 1.08*b.MM, 0.04*1.08*b.MM, "1.08 times the straight shoulder breadth")
	}
	if f, ok := c.usable("upper_arm_girth_flexed"); ok {
		put("upper_arm_girth", f.MM, 0.04*f.MM, "the flexed girth, which is the safe side")
	}
	if b, ok := c.usable("nape_to_waist"); ok {
		put("body_length", b.MM+150, 30, "nape to waist and 150 mm, a hip-length jacket")
	}
}
