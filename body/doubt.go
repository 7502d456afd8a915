package body

// entered says that the value was read off a tape, not worked out here.
func (v Value) entered() bool { return v.From == Given || v.From == "" }

// Doubts is every measure that does not go with the rest, in the order of Measures. Only given measures are doubted;
// a Confirmed one is taken as true.
func (c Card) Doubts() []Doubt {
	return c.impossible()
}
