// Package atlas turns what is known of single apiaries into what a published map
// may hold: areas with the number of apiaries tested there, their mean resistance
// ratio and the share in each band, from which no apiary can be told.
//
// # How an apiary is kept from being told
//
// Areas are squares of an equal-area grid, nested four in one. A square is divided
// where at least three quarters of its apiaries lie in parts that hold k of them or
// more; parts that hold fewer are not shown, and look like parts that hold none.
// The areas come from all registered apiaries, whoever was tested, so that they
// are the same for every acaricide and season: areas that changed with the season
// could be subtracted from one another.
//
// An area shows an acaricide and season only where at least k of its apiaries have
// a result. With fewer, down to none, it shows one and the same thing. No total
// over anything but the shown areas is published, so that no difference of a total
// and its parts is left over.
//
// An edition that is published after another one takes over its areas, which are
// neither split nor joined, and its numbers: what was once published of an area,
// acaricide and season stays as it was until at least k further apiaries have a
// result there, for otherwise the difference of the two editions would be that of
// one apiary. New areas take in only apiaries outside the earlier ones.
//
// # What remains
//
// Whoever knows the results of all apiaries of an area but one can compute that
// one. Where all apiaries of an area lie in one band, each of them does. Both are
// so of every published mean; a larger k is the remedy. An edition that does not
// take over the one before it can be subtracted from it, and says so.
//
// The types of this package have no place for the code, the position or the
// contact of an apiary; only Exact, which is not for sharing, has.
package atlas
