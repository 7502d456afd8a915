package web

import (
	"context"
	"strings"

	"clothwright/book"
	"clothwright/desk"
)

// debts is what is owed, by whom.
type debts struct {
	Sought  string
	Sums    []sum
	Debtors []debtor
	More    bool
	Today   string
}

// sum is an amount in a currency's smallest unit.
type sum struct {
	Currency string
	Minor    int64
}

// debtor is one client and what each order of theirs still costs.
type debtor struct {
	ID     int64
	Client string
	Each   []book.Owing
}

// mostDebtors is how many the page shows at once.
const mostDebtors = 200

func (v *visit) moneyPage() error { return v.showMoney("") }

func (v *visit) moneyFind() error { return v.notFound(v.showMoney(v.form("part"))) }

func (v *visit) showMoney(part string) error {
	b, err := v.ledger()
	if err != nil {
		return err
	}
	owed, err := desk.Owed(v.r.Context(), b)
	if err != nil {
		return err
	}
	d := debts{Sought: part, Today: b.Today()}
	for _, s := range owed.Sums {
		d.Sums = append(d.Sums, sum{s.Currency.Code, s.Currency.Minor(s.Amount)})
	}
	for _, o := range owed.Each { // by client
		if !hasParts(o.Job.Client, part) {
			continue
		}
		if n := len(d.Debtors); n == 0 || d.Debtors[n-1].ID != o.Job.ClientID {
			if n == mostDebtors {
				d.More = true
				break
			}
			d.Debtors = append(d.Debtors, debtor{ID: o.Job.ClientID, Client: o.Job.Client})
		}
		last := &d.Debtors[len(d.Debtors)-1]
		last.Each = append(last.Each, o)
	}
	c := v.chrome(v.words.T("money.title"), "money", nil)
	if v.live() {
		return v.show(debtorsList(c, d))
	}
	return v.show(moneyPage(c, d))
}

// hasParts reports whether a name has all the parts, as the book's search looks for them.
func hasParts(name, part string) bool {
	name = book.Fold(name)
	for _, p := range strings.Fields(book.Fold(part)) {
		if !strings.Contains(name, p) {
			return false
		}
	}
	return true
}

// pay books a payment for the order that the form names.
func (v *visit) pay() error {
	b, err := v.ledger()
	if err != nil {
		return err
	}
	id, err := v.s.rowOf(anOrder, v.form("order"))
	if err != nil {
		return err
	}
	j, err := b.JobByID(v.r.Context(), id)
	if err == nil {
		err = v.keep(func(ctx context.Context, b *book.Book) error {
			_, err := desk.Pay(ctx, b, j.Number, unlocal(v.form("amount")), v.form("why"), v.form("on"))
			return err
		})
	}
	if err != nil {
		return v.again(err, (*visit).moneyPage)
	}
	v.tell(v.words.T("told.paid"))
	return v.goTo("/money")
}
