// Package docket composes the sheets that go with a job rather than with its pieces, each as a neutral drawing:
//
//   - [Quotation]: what the client pays, and nothing of how it comes about;
//   - [Costing]: the whole reckoning, for the maker alone;
//   - [QuotationTogether] and [CostingTogether]: the same for several garments that are laid and priced together;
//   - [Confirmation]: what client and maker agree on before anything is cut, with lines to sign; one that takes another's place
//     says at its head what changed, before and now;
//   - [Docket]: the page that follows the job on the table, with a QR code of its number.
//
// The garment is sketched from the real pieces: front, back and sleeve as they were drafted, to scale, left and right each by its own
// where they differ.
package docket
