package body

// Figure is which population a body is compared with.
type Figure string

// The figures. Unstated leaves both open.
const (
	Unstated Figure = ""
	Women    Figure = "women"
	Men      Figure = "men"
	Child    Figure = "child" // under about 18: no model here
)

// Origin says where a measure came from.
type Origin string

// The origins. A given measure overrules everything; a derived one follows from given ones by arithmetic; an
// estimated one is only what people like this usually have.
const (
	Given     Origin = "given"
	Derived   Origin = "derived"
	Estimated Origin = "estimated"
)

// Value is one measure of one person.
type Value struct {
	MM        float64 // millimetres; degrees for shoulder_slope
	From      Origin
	Spread    float64 // one standard deviation in mm, 0 when given
	Confirmed bool    // the maker has looked again and stands by it
	Why       string  // for a derived or estimated measure: from what
}

// Card is the tape card of one person: the measures known of one body.
type Card struct {
	Figure Figure
	Age    float64 // years, 0 when not stated
	Values map[Name]Value
	Left   map[Name]Value // what was measured on the left side alone, where the sides differ
	Right  map[Name]Value // the same on the right
}

// Sided are the measures that may be taken on each side of the body apart.
var Sided = []Name{"arm_length", "upper_arm_girth", "wrist_girth", "hand_girth", "shoulder_slope"}

// Get returns a measure and whether the card has it.
func (c Card) Get(n Name) (Value, bool) {
	v, ok := c.Values[n]
	return v, ok
}

// MM is a measure in millimetres, 0 when the card has none.
func (c Card) MM(n Name) float64 { return c.Values[n].MM }

// Doubt is a measure that does not go with the rest.
type Doubt struct {
	Name    Name
	MM      float64 // as given
	Usual   float64 // what people like this have, mm; 0 when there is no model to say
	Low     float64 // the middle nineteen in twenty lie between Low and High, mm
	High    float64
	Odds    float64 // one in so many people like this; 0 when there is no model to say
	Never   bool    // no person is so made: do not cut until it is measured again
	Slip    string  // the likely slip, when it is recognised: "centimetres read as inches", "half taken for whole", "swapped with hand_girth"
	Instead float64 // what it would be with the slip put right, mm; 0 when there is nothing to say
	Against [2]Name // the given measures that speak most against it, the strongest first; empty when there are none
	Why     string  // when a plain rule is broken: "a hand is no smaller than its wrist"
}
