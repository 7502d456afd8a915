package web

import (
	"slices"

	"clothwright/book"
)

// openStates are the states an order is in until it is closed.
var openStates = []book.State{book.Ordered, book.Confirmed, book.BeingCut, book.Fitting, book.Finishing, book.Ready}

// orderFilters are the states the list can be held to: one of the book's, those that are open, or all.
func orderFilters() []string {
	return append([]string{"open"}, append(book.States(), "all")...)
}

// ordersFound is what the list of orders shows.
type ordersFound struct {
	Sought string
	State  string
	Today  string
	List   []book.Job
	More   bool
}

// Late reports whether an order's day has passed while it is still here.
func (f ordersFound) Late(j book.Job) bool {
	return j.Due != "" && j.Due < f.Today && slices.Contains(openStates, j.State)
}

func (v *visit) ordersPage() error { return v.showOrders("", "open") }

func (v *visit) ordersFind() error {
	return v.notFound(v.showOrders(v.form("part"), v.form("state")))
}

func (v *visit) showOrders(part, state string) error {
	b, err := v.ledger()
	if err != nil {
		return err
	}
	var states []book.State
	switch {
	case state == "all":
	case slices.Contains(book.States(), state):
		states = []book.State{book.State(state)}
	default:
		state, states = "open", openStates
	}
	found, err := b.FindJobs(v.r.Context(), part, states, mostFound+1)
	if err != nil {
		return err
	}
	out := ordersFound{Sought: part, State: state, Today: b.Today(), List: found[:min(len(found), mostFound)], More: len(found) > mostFound}
	c := v.chrome(v.words.T("orders.title"), "orders", nil)
	if v.live() {
		return v.show(ordersList(c, out))
	}
	return v.show(ordersPage(c, out))
}
