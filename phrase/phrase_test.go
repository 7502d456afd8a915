package phrase

import (
	"errors"
	"fmt"
	"testing"
	"testing/quick"
)

// Package fmt is the reference: what is said in English is what it would have written, to the byte.
func TestEnglishIsWhatFmtWrites(t *testing.T) {
	for _, x := range []struct {
		format  string
		a       []any
		pattern string
	}{
		{"no grainline", nil, "no grainline"},
		{"%s: its count is %d; it must be 1 or more", []any{"front", 0}, "{1}: its count is {2}; it must be 1 or more"},
		{"%.0f %% of the cloth, %+d and %04X", []any{66.6, 3, 'é'}, "{1} % of the cloth, {2} and {3}"},
		{"%q is no measure", []any{"{1}"}, "{1} is no measure"},
		{"all 100 %%", nil, "all 100 %"},
		{"%v beside %s", []any{Of("%s mm", "2.0"), Of("the %s", Of("front"))}, "{1} beside {2}"},
	} {
		s := Of(x.format, x.a...)
		if want := fmt.Sprintf(x.format, x.a...); s.String() != want {
			t.Errorf("%q: says %q; fmt writes %q", x.format, s, want)
		}
		if s.Pattern != x.pattern {
			t.Errorf("%q: the pattern is %q; %q is wanted", x.format, s.Pattern, x.pattern)
		}
	}
}

// What a person typed may look like a place and is said as it was typed all the same.
func TestWordsFromOutsideAreLeftAlone(t *testing.T) {
	says := func(a, b string) bool { return Of("%s, then %s", a, b).String() == fmt.Sprintf("%s, then %s", a, b) }
	if err := quick.Check(says, nil); err != nil {
		t.Error(err)
	}
	for _, s := range []string{"{1}", "{2}", "{", "}{", "{1}{1}", "%s"} {
		if !says(s, "x") || Plain(s).String() != s {
			t.Errorf("%q is changed", s)
		}
	}
}

func TestAnotherOrder(t *testing.T) {
	if got := Fill("{2} puis {1}, {3}", []string{"a", "b"}); got != "b puis a, {3}" {
		t.Error(got)
	}
	if got := List([]string{"a", "b", "c"}).String(); got != "a, b and c" {
		t.Error(got)
	}
	if got := Row([]string{"a", "b", "c"}).String(); got != "a, b, c" {
		t.Error(got)
	}
}

func TestErrorsSpeak(t *testing.T) {
	err := Wrong(Of("the unit is %s", "ell"))
	if s := From(err); s.Pattern != "the unit is {1}" {
		t.Error(s)
	}
	if s := From(fmt.Errorf("job: %w", err)); s.Pattern != "job: the unit is ell" {
		t.Errorf("%q: what is wrapped round a sentence was lost", s)
	}
	if s := From(errors.New("plain")); s.Pattern != "plain" || From(nil).Pattern != "" {
		t.Error(s)
	}
}
