// Command clothwright takes a jacket from the tape to the cutting table.
//
// It only wires: each command hands its files to the packages that do the work and writes what comes back.
package main

import (
	"fmt"
	"io"
	"os"
	"strings"

	"github.com/alecthomas/kong"
)

// commands is the command line.
type commands struct {
	Cut      cutCommand      `cmd:"" help:"Draft a job, true it, and write its record and its sheets."`
	Batch    batchCommand    `cmd:"" help:"Draft a garment on every body of a table."`
	Lay      layCommand      `cmd:"" help:"Lay polygons on a strip of cloth, as short as can be found in a given time."`
	Widths   widthsCommand   `cmd:"" help:"Compare what a job takes on cloth of several widths, folded and open."`
	Together togetherCommand `cmd:"" help:"Lay the pieces of several jobs together, which needs less cloth than one by one."`
	Run      runCommand      `cmd:"" help:"Draft a job in a run of sizes of its size table, with the sizes stacked for checking."`
	Sizes    sizesCommand    `cmd:"" help:"List the size tables and their sizes."`
	Price    priceCommand    `cmd:"" help:"Price a job file by a costing file: a quotation for the client, a costing for the maker."`
	Book     bookCommand     `cmd:"" help:"The book itself: make, check, back up, restore, write and read it; the room's habits."`
	Client   clientCommand   `cmd:"" help:"Clients."`
	Card     cardCommand     `cmd:"" help:"Tape cards."`
	Order    orderCommand    `cmd:"" help:"Jobs, from ordered to handed over: quotation, date, confirmation, drafts, docket."`
	Fitting  fittingCommand  `cmd:"" help:"Fittings and what was pinned."`
	Cloth    clothCommand    `cmd:"" help:"Clients' own cloth, in and out."`
	Shelf    shelfCommand    `cmd:"" help:"The room's own cloth, rib, zips and trims."`
	Money    moneyCommand    `cmd:"" help:"Payments and what is owed."`
	Work     workCommand     `cmd:"" help:"Times that operations really take."`
	Diary    diaryCommand    `cmd:"" help:"What is due and who is fitted, today and this week."`
	Serve    serveCommand    `cmd:"" help:"Open the workroom in a browser, on this machine or on its own network."`
	Words    wordsCommand    `cmd:"" help:"Print the page of the drafting language."`
	Style    styleCommand    `cmd:"" help:"List a garment's choices of style."`
}

// world is what a command may touch.
type world struct {
	out, err io.Writer
	code     int // what the command wants to exit with when nothing failed
}

// plainly says in a cutter's words what the reader of the command line says in a programmer's.
var plainly = strings.NewReplacer(
	"expected a valid 64 bit int but got", "a whole number is wanted; there is",
	"expected float value but got", "a number is wanted; there is",
	"expected string value but got", "a word is wanted; there is",
	" (short flag)", "",
	"; perhaps try", ", which looks like an option; write", `"?`, `"`,
)

func main() { os.Exit(run(os.Args[1:], os.Stdout, os.Stderr)) }

// run is the whole command: 0 for done, 1 for done but do not cut (or some row failed), 2 for a mistake.
func run(args []string, out, err io.Writer) int {
	w := &world{out: out, err: err}
	var c commands
	exited := -1
	parser, bad := kong.New(&c, kong.Name("clothwright"),
		kong.Description("From a tape card to a cut-ready jacket: drafts every piece for one body, proves that what is sewn together matches, and prints sheets to chalk and cut by."),
		kong.Writers(out, err), kong.Exit(func(code int) { exited = code }), kong.Bind(w))
	if bad != nil {
		panic(bad)
	}
	if len(args) == 0 {
		args = []string{"--help"}
	}
	ctx, bad := parser.Parse(args)
	if exited >= 0 {
		return exited
	}
	if bad != nil {
		fmt.Fprintf(err, "error: %s\nhint: clothwright --help lists what there is\n", plainly.Replace(bad.Error()))
		return 2
	}
	if bad := ctx.Run(w); bad != nil {
		fmt.Fprintf(err, "error: %s\n", bad)
		return 2
	}
	return w.code
}
