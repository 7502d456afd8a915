package lay

import (
	"clothwright/lay/pack"
)

// Match says that a point of a piece falls on the repeat.
type Match struct{}

type phases struct{}

func (c *Cloth) matched() bool                              { return false }
func (c *Cloth) phases([]Work) *phases                      { return nil }
func (f *phases) swell(pieces []pack.Piece, shapes []shape) {}
func (f *phases) snap(spots []spot, c *Cloth)               {}
