package draft

import (
	"fmt"

	"go.starlark.net/starlark"
	"go.starlark.net/syntax"

	"clothwright/phrase"
)

// saying is a sentence with what was put into it, as a script holds it.
type saying struct{ said phrase.Said }

func (s saying) String() string        { return s.said.String() }
func (s saying) Type() string          { return "phrase" }
func (s saying) Freeze()               {}
func (s saying) Truth() starlark.Bool  { return starlark.Bool(!s.said.Empty()) }
func (s saying) Hash() (uint32, error) { return hashOf(s.String()), nil }

// told takes a text from a script's argument: plain words, or a phrase with what was put into it.
type told phrase.Said

// Unpack takes a text from a script's argument.
func (t *told) Unpack(v starlark.Value) error {
	switch v := v.(type) {
	case starlark.String:
		*t = told(phrase.Plain(string(v)))
		return nil
	case saying:
		*t = told(v.said)
		return nil
	}
	return fmt.Errorf("a text or a phrase is wanted, not a %s", v.Type())
}

// runPhrase puts values into a pattern as Starlark's own % does, a length as the house's tape says it.
func runPhrase(c *call) (starlark.Value, error) {
	if len(c.kw) > 0 || len(c.args) == 0 {
		return nil, c.fail("phrase takes a text and what is put into it, by place")
	}
	pattern, err := text(c.args[0])
	if err != nil {
		return nil, err
	}
	values := c.args[1:]
	var with []any
	for i := 0; i < len(pattern); i++ {
		if pattern[i] != '%' {
			continue
		}
		if i++; i == len(pattern) {
			return nil, c.fail("phrase %q ends in %%; write %%%% for the sign itself", pattern)
		}
		if pattern[i] == '%' {
			continue
		}
		if len(with) == len(values) {
			return nil, c.fail("phrase %q has more places than the %d values given", pattern, len(values))
		}
		switch v := values[len(with)].(type) {
		case saying:
			with = append(with, v.said)
		case length:
			with = append(with, phrase.Plain(c.host.house.Tape.Format(float64(v))))
		default:
			s, err := starlark.Binary(syntax.PERCENT, starlark.String(pattern[i-1:i+1]), starlark.Tuple{v})
			if err != nil {
				return nil, c.fail("phrase %q: %v", pattern, err)
			}
			words, err := text(s)
			if err != nil {
				return nil, err
			}
			with = append(with, phrase.Plain(words))
		}
	}
	if len(with) != len(values) {
		return nil, c.fail("phrase %q has %d places and %d values are given", pattern, len(with), len(values))
	}
	return saying{phrase.Of(pattern, with...)}, nil
}
