package draft

import (
	"fmt"
	"strings"
)

// Reference is the page of the drafting language (docs/drafting.md), made from the table of verbs, so that it
// is never out of date.
func Reference() string {
	var b strings.Builder
	b.WriteString(`# The drafting language

<!-- Made by "clothwright words" from the table of verbs in draft/verbs.go. Do not edit. -->

A garment is one script, in Starlark (a small Python without surprises: no while, no recursion, no files, no
clock), with the words below. It lies in ` + "`garments/NAME/draft.star`" + `, or anywhere a job file's ` + "`garment`" + ` points to.

At the top it says its title and its choices of style:

` + "```python" + `
garment(title = "Rib-trimmed zip jacket")
option("ease", "regular", "How full the body is cut.", choices = ["trim", "regular", "roomy"])
option("block_width", inch(3), "How wide the block is.", least = inch(1), most = inch(6))
option("pocket", True, "A slanted welt pocket in each front.")
` + "```" + `

and it has one function, ` + "`draft(m, style, house)`" + `. ` + "`m`" + ` is the body: ` + "`m.chest_girth`" + ` and the other measures of
docs/measures.md are lengths (` + "`m.shoulder_slope`" + ` is degrees); ` + "`m.has(name)`" + ` says whether there is one, ` + "`m.known(name)`" + `
whether it was measured or follows from what was, rather than estimated. ` + "`m.left` and `m.right`" + ` are the two sides of the
body, and ` + "`m.differs(name)`" + ` says whether they differ. ` + "`style`" + ` holds the choices. ` + "`house`" + ` has
` + "`house.allowance(kind)`" + `, ` + "`house.rib(kind)`" + ` (with ` + "`ratio`, `least`, `most`" + `), ` + "`house.ready_band`, `house.rib_tube`, `house.rib_seam`, `house.rib_stretch`" + ` and
` + "`house.zip_for(edge)`" + `. ` + "`struct(a = 1)`" + ` groups values; ` + "`pi`" + ` is there.

On the cloth x runs across from the centre line or the fold and y runs down. Every distance marked by a verb is
rounded to the house's tape, and what is marked next builds on the rounded mark. Each mark is a chalk step.

Limits: 2,000,000 steps, a range of 10,000, 200 pieces, 5 m from mark to mark.
`)
	group := ""
	for _, v := range verbs {
		if v.group != group {
			group = v.group
			fmt.Fprintf(&b, "\n## %s\n", group)
		}
		fmt.Fprintf(&b, "\n### `%s`\n\n%s\n", v.sig, v.doc)
		if v.example != "" {
			fmt.Fprintf(&b, "\n```python\n%s\n```\n", v.example)
		}
	}
	b.WriteString("\nThe examples run as tests, with a piece `p` that has the marks `a`, `b` (200 mm across) and `c` (300 mm below b),\nand `square4(p, a, b, c)`, which closes a square of them with the edges top, side, foot and fold.\n")
	return b.String()
}
