// Package phrase keeps what a sentence says apart from what was put into it, so that it can be said in another language.
//
// A Said is a pattern in English with numbered places, and what stands in each of them, which may be a Said again: a piece, a measure, a
// reason. Its text is made of nothing else, so that the two cannot disagree. A room writes
//
//	phrase.Of("%s: its count is %d; it must be 1 or more", name, n)
//
// where it would have written fmt.Sprintf; the pattern is then "{1}: its count is {2}; it must be 1 or more". A pattern is written out where
// it is said, so that all of them can be gathered from the source; words that stand in a table and are put into a sentence later are
// gathered by Word. A sentence is one pattern: what is said of it only now and then makes another pattern, not a piece joined on.
//
// The English is what the command line, the records and the sheets say. Which languages there are besides, and their words, is
// package web's affair.
package phrase

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// Said is a sentence, or a part of one. The zero Said says nothing.
type Said struct {
	Pattern string // in English, with {1}, {2} where With is put in; without With the words as they are
	With    []Said
}

// Of is a sentence by a format as fmt has it. Every verb of the format makes a place: a Said stands in its place by itself, anything else as
// fmt writes it. Widths and flags are allowed, and %% is a per cent sign; argument indexes and stars are not.
func Of(format string, a ...any) Said {
	if len(a) == 0 && !strings.Contains(format, "%") {
		return Said{Pattern: format}
	}
	var b strings.Builder
	with := make([]Said, 0, len(a))
	for {
		i := strings.IndexByte(format, '%')
		if i < 0 || i+1 >= len(format) {
			break
		}
		b.WriteString(format[:i])
		n := i + 1
		for n < len(format)-1 && strings.IndexByte("+-# 0123456789.", format[n]) >= 0 {
			n++
		}
		verb := format[i : n+1]
		format = format[n+1:]
		switch {
		case verb == "%%":
			b.WriteByte('%')
		case len(with) >= len(a):
			b.WriteString("%!(MISSING)")
		default:
			with = append(with, put(verb, a[len(with)]))
			b.WriteByte('{')
			b.WriteString(strconv.Itoa(len(with)))
			b.WriteByte('}')
		}
	}
	b.WriteString(format)
	return Said{Pattern: b.String(), With: with}
}

func put(verb string, a any) Said {
	switch a := a.(type) {
	case Said:
		return a
	case string:
		if verb == "%s" {
			return Said{Pattern: a}
		}
	}
	return Said{Pattern: fmt.Sprintf(verb, a)}
}

// Plain is words that came from outside, as a client's name: they are said as they are.
func Plain(words string) Said { return Said{Pattern: words} }

// Word is its argument. It says that the text is one that is put into sentences and has to be known in every language.
func Word(text string) string { return text }

// List says "a", "a and b", "a, b and c".
func List[T ~string](names []T) Said {
	if len(names) == 0 {
		return Said{}
	}
	out := Plain(string(names[0]))
	for i, n := range names[1:] {
		if i == len(names)-2 {
			return Of("%s and %s", out, string(n))
		}
		out = Of("%s, %s", out, string(n))
	}
	return out
}

// Row says "a, b, c".
func Row[T ~string](names []T) Said {
	if len(names) == 0 {
		return Said{}
	}
	out := Plain(string(names[0]))
	for _, n := range names[1:] {
		out = Of("%s, %s", out, string(n))
	}
	return out
}

// String is the sentence in English.
func (s Said) String() string {
	switch len(s.With) {
	case 0:
		return s.Pattern
	case 1:
		if s.Pattern == "{1}" {
			return s.With[0].String()
		}
	}
	with := make([]string, len(s.With))
	for i, w := range s.With {
		with[i] = w.String()
	}
	return Fill(s.Pattern, with)
}

// Empty reports whether nothing is said.
func (s Said) Empty() bool { return s.Pattern == "" }

// Fill puts with[0] where a pattern says {1}, and so on. A place that with does not have stays as it is.
func Fill(pattern string, with []string) string {
	var b strings.Builder
	for {
		i := strings.IndexByte(pattern, '{')
		if i < 0 {
			break
		}
		b.WriteString(pattern[:i])
		pattern = pattern[i:]
		end := strings.IndexByte(pattern, '}')
		if end < 0 {
			break
		}
		if n, err := strconv.Atoi(pattern[1:end]); err == nil && n >= 1 && n <= len(with) {
			b.WriteString(with[n-1])
		} else {
			b.WriteString(pattern[:end+1])
		}
		pattern = pattern[end+1:]
	}
	b.WriteString(pattern)
	return b.String()
}

// Fault is an error that can be said in another language.
type Fault struct{ Said Said }

// Error is the sentence in English.
func (f *Fault) Error() string { return f.Said.String() }

// Phrase is the sentence.
func (f *Fault) Phrase() Said { return f.Said }

// Wrong is an error of the sentence.
func Wrong(s Said) error { return &Fault{s} }

// From is what an error says: its own sentence where it has one, else the English that it is. Only the outermost sentence
// counts, for what was wrapped round one was said in English.
func From(err error) Said {
	if err == nil {
		return Said{}
	}
	var f interface {
		error
		Phrase() Said
	}
	if errors.As(err, &f) {
		if s := f.Phrase(); !s.Empty() && f.Error() == err.Error() {
			return s
		}
	}
	return Plain(err.Error())
}
