// Package atlas turns what is known of single apiaries into what a published map
// may hold: areas with the number of apiaries tested there, their mean resistance
// ratio and the share in each band, from which no apiary can be told.
//
// # Areas
//
// Areas are squares of an equal-area grid, nested four in one. A square is divided
// where at least three quarters of its apiaries lie in parts that hold k of them or
// more; parts that hold fewer are not shown, and look like parts that hold none.
// The areas come from all registered apiaries, whoever was tested, so that they
// are the same for every acaricide and season: areas that changed with the season
// could be subtracted from one another. For the same reason an edition that is
// published after another one takes over its areas, which are neither split nor
// joined; new ones hold k apiaries or more outside of them. The centre of the
// grid, too, is chosen without regard to apiaries that stand by themselves.
//
// # Values
//
// An area shows an acaricide and season only where at least k of its apiaries have
// a result. With fewer, down to none, it shows one and the same thing. The mean
// ratio is shown where at least k of them have an estimate of their own and not
// only a bound. Totals are made of the published values alone. All numbers are
// rounded, so that no combination can be recognised by its last digits.
//
// What was published stays as it was. The number of apiaries in each published
// value is added up for every acaricide and season, over all areas and editions;
// an area gets another value, or a first one in a season that has been published
// before, only where its results exceed that sum by k or more.
//
// # Why this suffices
//
// Let somebody know of each published mean whose results are in it, and compute
// any combination of the means of one acaricide and season, of all editions. Take
// the last edition that has a part in the combination, and one of its areas. By
// the rule at least k apiaries of that area were in no value before, and as areas
// do not overlap they are in no other value of that edition. So the combination
// holds at least these k, with the weight that it gives to that area. No
// combination tells of fewer than k apiaries, whichever came, went, moved, were
// tested late or had their counts amended in between. Other acaricides and seasons
// are about other results, and baselines do not matter, for the sum is over all of
// them.
//
// In practice a season is published once. Results that come later are held back,
// and a warning says how many there are. Publish a season when it is over.
//
// # What remains
//
// Whoever knows the results of all apiaries of an area but one can compute that
// one. Where all apiaries of an area lie in one band, each of them does. Both are
// so of every published mean; a larger k is the remedy, also where one beekeeper
// has several apiaries in an area, since k counts apiaries. Two editions of which
// neither took over the other can be subtracted from one another, and so can one
// whose results were given another day, and with it another season, or another
// acaricide after they were published, where this happens to most of an area.
//
// The types of this package have no place for the code, the position or the
// contact of an apiary; only Exact, which is not for sharing, has. Warnings and
// errors are for the programme and not for publication.
package atlas
