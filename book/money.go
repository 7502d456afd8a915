package book

import (
	"context"
	"database/sql"
	"strings"
	"unicode/utf8"
)

// Quoted is a quotation that was made for a job.
type Quoted struct {
	N        int
	Draft    int
	Currency string
	Total    int64 // smallest unit
	Deposit  int64
	Minutes  int64
	Words    string // JSON: the reckoning as the maker sees it
	Costing  []byte // the costing file it was reckoned with
	Day      string
}

// AddQuote keeps a quotation as the next one of its job.
func (tx *Tx) AddQuote(jobID int64, q Quoted) (Quoted, error) {
	if err := tx.tx.QueryRowContext(tx.ctx, "SELECT coalesce(max(n), 0) + 1 FROM quote WHERE job_id = ?", jobID).Scan(&q.N); err != nil {
		return q, err
	}
	sha, err := tx.keep(q.Costing)
	if err != nil {
		return q, err
	}
	q.Day = tx.Today()
	_, err = tx.exec("INSERT INTO quote (job_id, n, draft_n, currency, total, deposit, minutes, words, costing, day, made) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
		jobID, q.N, q.Draft, q.Currency, q.Total, q.Deposit, q.Minutes, q.Words, sha, q.Day, tx.stamp())
	return q, err
}

// Quote is a job's newest quotation; ok is false when there is none.
func (b *Book) Quote(ctx context.Context, jobID int64) (q Quoted, ok bool, err error) {
	err = b.read.QueryRowContext(ctx, "SELECT n, draft_n, currency, total, deposit, minutes, words, bytes, day FROM quote JOIN kept ON sha = costing WHERE job_id = ? ORDER BY n DESC LIMIT 1", jobID).
		Scan(&q.N, &q.Draft, &q.Currency, &q.Total, &q.Deposit, &q.Minutes, &q.Words, &q.Costing, &q.Day)
	if isNone(err) {
		return q, false, nil
	}
	return q, err == nil, b.fault(err)
}

// QuoteNth is one of a job's quotations, from 1.
func (b *Book) QuoteNth(ctx context.Context, jobID int64, n int) (q Quoted, err error) {
	err = b.read.QueryRowContext(ctx, "SELECT n, draft_n, currency, total, deposit, minutes, words, bytes, day FROM quote JOIN kept ON sha = costing WHERE job_id = ? AND n = ?", jobID, n).
		Scan(&q.N, &q.Draft, &q.Currency, &q.Total, &q.Deposit, &q.Minutes, &q.Words, &q.Costing, &q.Day)
	if isNone(err) {
		return q, mistake("the job has no quotation %d", n)
	}
	return q, b.fault(err)
}

// Payment is money that came in for a job, or went back when below nought.
type Payment struct {
	Day      string
	Amount   int64
	Currency string
	Why      string
}

// Pay books a payment. It must be in the currency the job was quoted in.
func (tx *Tx) Pay(number string, p Payment) error {
	j, err := tx.Job(number)
	if err != nil {
		return err
	}
	var currency string
	err = tx.tx.QueryRowContext(tx.ctx, "SELECT currency FROM quote WHERE job_id = ? ORDER BY n DESC LIMIT 1", j.ID).Scan(&currency)
	switch {
	case isNone(err):
		return mistake("job %s has no quotation, so it is not known in which currency it is paid; clothwright order quote makes one", number)
	case err != nil:
		return err
	case p.Currency != currency:
		return mistake("job %s was quoted in %s, and %s is paid", number, currency, p.Currency)
	case p.Amount == 0:
		return mistake("a payment of nothing is no payment")
	}
	_, err = tx.exec("INSERT INTO payment (job_id, day, amount, currency, why, made) VALUES (?, ?, ?, ?, ?, ?)", j.ID, p.Day, p.Amount, p.Currency, p.Why, tx.stamp())
	return err
}

// Payments lists a job's payments, by day.
func (b *Book) Payments(ctx context.Context, jobID int64) ([]Payment, error) {
	out, err := list(ctx, b.read, func(rows *sql.Rows, p *Payment) error { return rows.Scan(&p.Day, &p.Amount, &p.Currency, &p.Why) },
		"SELECT day, amount, currency, why FROM payment WHERE job_id = ? ORDER BY day, id", jobID)
	return out, b.fault(err)
}

// Owing is what is still to be paid for one job: the newest quotation less all payments.
type Owing struct {
	Job      Job
	Currency string
	Total    int64
	Paid     int64
	Deposit  int64
}

// Owes is what is left to pay.
func (o Owing) Owes() int64 { return o.Total - o.Paid }

// Owing lists the jobs that are not paid in full, and those paid too much, by client. Dropped jobs count only what was paid.
func (b *Book) Owing(ctx context.Context) ([]Owing, error) {
	out, err := list(ctx, b.read, func(rows *sql.Rows, o *Owing) error {
		return rows.Scan(&o.Job.ID, &o.Job.Number, &o.Job.ClientID, &o.Job.Client, &o.Job.Code, &o.Job.Garment, &o.Job.Title, &o.Job.State, &o.Job.Due, &o.Job.Note, &o.Job.Made,
			&o.Currency, &o.Total, &o.Deposit, &o.Paid)
	}, `SELECT `+jobColumns+`, quote.currency, CASE state WHEN 'dropped' THEN 0 ELSE quote.total END, quote.deposit,
		coalesce((SELECT sum(amount) FROM payment WHERE payment.job_id = job.id), 0) AS paid
		FROM job JOIN client ON client.id = client_id JOIN quote ON quote.job_id = job.id AND quote.n = (SELECT max(n) FROM quote q WHERE q.job_id = job.id)
		WHERE CASE state WHEN 'dropped' THEN 0 ELSE quote.total END <> paid ORDER BY client.folded, client.id, job.id`)
	return out, b.fault(err)
}

// RecordTime books how long an operation took on a job. The operation is how its sentence in the making-up order begins.
func (tx *Tx) RecordTime(number, operation string, minutes int64, day, by string) error {
	j, err := tx.Job(number)
	if err != nil {
		return err
	}
	operation = strings.TrimSpace(operation)
	if n := utf8.RuneCountInString(operation); n < 3 || n > 300 {
		return mistake("the operation %q: say how its sentence begins, with at least 3 letters", operation)
	}
	if minutes < 1 || minutes > 6000 {
		return mistake("%d minutes are found; 1 to 6000 is allowed", minutes)
	}
	_, err = tx.exec("INSERT INTO worked (job_id, operation, minutes, day, by, made) VALUES (?, ?, ?, ?, ?, ?)", j.ID, operation, minutes, day, by, tx.stamp())
	return err
}

// Averaged is the house's own average for an operation.
type Averaged struct {
	Operation string
	Minutes   int64 // in all
	Jobs      int   // on how many jobs
}

// Averages lists the recorded times by operation. What was recorded in several goes on one job counts as one.
func (b *Book) Averages(ctx context.Context) ([]Averaged, error) {
	out, err := list(ctx, b.read, func(rows *sql.Rows, a *Averaged) error { return rows.Scan(&a.Operation, &a.Minutes, &a.Jobs) },
		"SELECT operation, sum(minutes), count(DISTINCT job_id) FROM worked GROUP BY operation ORDER BY operation")
	return out, b.fault(err)
}
