package main

import (
	"context"
	"fmt"
	"io"
	"iter"
	"maps"
	"slices"
	"strings"

	"github.com/spf13/pflag"

	"vialwise/bioassay"
	"vialwise/bioassay/geo"
	"vialwise/bioassay/track"
	"vialwise/cmd/vialwise/internal/render"
)

// trackFlags choose what is followed over the seasons, for every command that
// does: the counts of a registry, or those of files.
type trackFlags struct {
	model      fitFlags
	compare    compareFlags
	registry   registryFlags
	apiaries   string
	hemisphere string
	horizon    int
	filter     filterFlags
	percents   []float64 // the LCp of comparisons; LC50 alone where it is nil
}

// filterFlags choose a part of the assays.
type filterFlags struct {
	apiaries, regions, acaricides, protocols []string
	from, to                                 string
	seen                                     [4]map[string]bool // apiaries, regions, acaricides, protocols of all assays
}

func (f *trackFlags) register(flags *pflag.FlagSet) {
	f.model.registerModel(flags)
	f.compare.register(flags)
	f.registry.register(flags)
	flags.Lookup("baseline").Usage = "baseline as NAME or NAME@VERSION in a registry; in count tables the name of the assay or population of susceptible mites (default: the newest version of each, else the assays whose role is baseline)"
	flags.StringVar(&f.apiaries, "apiaries", "", "table of apiaries, with their regions and places, beside count tables")
	flags.StringVar(&f.hemisphere, "hemisphere", "", "north or south, which names the seasons (default: that of the programme, else that of the apiaries)")
	flags.IntVar(&f.horizon, "horizon", track.DefaultHorizon, "number of the newest seasons in which an apiary must have a result")
	f.filter.register(flags)
}

// newTrackFlagSet gives flags their defaults.
func newTrackFlagSet(f *trackFlags) { f.register(pflag.NewFlagSet("track", pflag.ContinueOnError)) }

func (f *filterFlags) register(flags *pflag.FlagSet) {
	flags.StringSliceVar(&f.apiaries, "apiary", nil, "codes of apiaries, comma-separated (default: all)")
	flags.StringSliceVar(&f.regions, "region", nil, "regions, comma-separated (default: all)")
	flags.StringSliceVar(&f.acaricides, "acaricide", nil, "acaricides, comma-separated (default: all)")
	flags.StringSliceVar(&f.protocols, "protocol", nil, "protocols, comma-separated (default: all)")
	flags.StringVar(&f.from, "from", "", "first season, such as 2031-spring")
	flags.StringVar(&f.to, "to", "", "last season")
}

// wanted returns the filter of assays.
func (f *filterFlags) wanted(c bioassay.Calendar) (func(bioassay.Assay, string, bioassay.Season) bool, error) {
	var ends [2]bioassay.Season
	for i, text := range []string{f.from, f.to} {
		if text == "" {
			continue
		}
		s, err := c.ParseSeason(text)
		if err != nil {
			return nil, usageError{err}
		}
		ends[i] = s
	}
	if f.from != "" && f.to != "" && c.Compare(ends[0], ends[1]) > 0 {
		return nil, usageError{fmt.Errorf("--from %s comes after --to %s", f.from, f.to)}
	}
	among := func(value string, list []string) bool { return len(list) == 0 || slices.Contains(list, value) }
	f.seen = [4]map[string]bool{{}, {}, {}, {}}
	return func(a bioassay.Assay, region string, s bioassay.Season) bool {
		for i, value := range []string{a.Apiary, region, a.Acaricide, a.Protocol} {
			f.seen[i][value] = true
		}
		return among(a.Apiary, f.apiaries) && among(region, f.regions) && among(a.Acaricide, f.acaricides) && among(a.Protocol, f.protocols) &&
			(f.from == "" || c.Compare(s, ends[0]) >= 0) && (f.to == "" || c.Compare(s, ends[1]) <= 0)
	}, nil
}

// unknown reports the names of the filter that nothing has: a slip of the pen
// would otherwise look like an answer.
func (f *filterFlags) unknown(apiaries []bioassay.Apiary) error {
	for _, a := range apiaries {
		f.seen[0][a.Code], f.seen[1][a.Region] = true, true
	}
	for i, k := range []struct {
		what string
		list []string
	}{{"apiary", f.apiaries}, {"region", f.regions}, {"acaricide", f.acaricides}, {"protocol", f.protocols}} {
		for _, name := range k.list {
			if !f.seen[i][name] {
				return usageError{fmt.Errorf("there is no %s %q; there are %s", k.what, name, someOf(f.seen[i]))}
			}
		}
	}
	return nil
}

// someOf lists a few names.
func someOf(names map[string]bool) string {
	const most = 12
	list := slices.DeleteFunc(slices.Sorted(maps.Keys(names)), func(s string) bool { return s == "" })
	if len(list) > most {
		return strings.Join(list[:most], ", ") + fmt.Sprintf(" and %d more", len(list)-most)
	}
	return bioassay.Listed(list)
}

// chosen returns the apiaries that the filter lets pass.
func (f *filterFlags) chosen(all []bioassay.Apiary) (out []bioassay.Apiary) {
	for _, a := range all {
		if (len(f.apiaries) == 0 || slices.Contains(f.apiaries, a.Code)) && (len(f.regions) == 0 || slices.Contains(f.regions, a.Region)) {
			out = append(out, a)
		}
	}
	return out
}

// tracked is what a tracking stems from.
type tracked struct {
	*render.Tracks
	programme *bioassay.Programme
	apiaries  []bioassay.Apiary
	comparers []*bioassay.Comparer // as many as baselines
	source    trackSource          // to be closed
}

func (t *tracked) close() { t.source.close() }

// run tracks the counts of the files or, without one, of the registry. Only LC50
// is compared.
func (f *trackFlags) run(ctx context.Context, stdin io.Reader, files []string, moribundGiven bool, progress *progress) (*tracked, error) {
	if len(files) == 0 && f.apiaries != "" {
		return nil, usageError{fmt.Errorf("--apiaries belongs to count tables; a registry holds its own, import them with: vialwise import %s", f.apiaries)}
	}
	if f.horizon < 1 {
		return nil, usageError{fmt.Errorf("horizon %d: at least one season must count as recent", f.horizon)}
	}
	source, analysis, err := f.open(ctx, stdin, files, moribundGiven)
	if err != nil {
		return nil, err
	}
	out, err := f.track(ctx, source, analysis, progress)
	if err != nil {
		source.close()
	}
	return out, err
}

// open reads the flags of the model and opens the files or, without one, the
// registry.
func (f *trackFlags) open(ctx context.Context, stdin io.Reader, files []string, moribundGiven bool) (source trackSource, analysis bioassay.AnalysisOptions, err error) {
	if analysis, err = f.model.options("text"); err != nil {
		return nil, analysis, err
	}
	f.compare.baseline.moribund = moribundGiven
	if len(files) > 0 {
		source, err = newFileSource(f, stdin, files)
	} else {
		source, err = newRegistrySource(ctx, f)
	}
	return source, analysis, err
}

// trackSource is where assays come from.
type trackSource interface {
	programme() *bioassay.Programme
	apiaries() []bioassay.Apiary
	// baselines builds the baselines with what they are called.
	baselines(o bioassay.CompareOptions) ([]track.Reference, error)
	// fields are the assays to compare, and how many there are at most.
	fields() (iter.Seq2[track.Entry, error], int)
	// counts reads the containers of fields that came without them.
	counts([]*track.Entry) error
	discarded(bioassay.Assay) string
	store(settings string) track.Store
	describe(*render.Tracks)
	close()
}

func (f *trackFlags) track(ctx context.Context, source trackSource, analysis bioassay.AnalysisOptions, progress *progress) (*tracked, error) {
	programme := source.programme()
	options, err := f.options(analysis, programme)
	if err != nil {
		return nil, err
	}
	apiaries := f.filter.chosen(source.apiaries())
	calendar, doubts, err := f.calendar(programme, source.apiaries())
	if err != nil {
		return nil, err
	}
	wanted, err := f.filter.wanted(calendar)
	if err != nil {
		return nil, err
	}
	references, err := source.baselines(options)
	if err != nil {
		return nil, err
	}
	out := &tracked{Tracks: &render.Tracks{Version: version, Options: options}, programme: programme, apiaries: apiaries, source: source}
	for _, r := range references {
		own := options
		own.Analysis.Moribund = r.Assays[0].Moribund
		c, err := bioassay.NewComparer(r.Baseline, own)
		if err != nil {
			return nil, err
		}
		out.comparers = append(out.comparers, c)
	}
	out.Options.Analysis.Moribund = references[0].Assays[0].Moribund
	assays, n := source.fields()
	progress.begin("tracking", n)
	out.Tracking, err = track.Run(assays, out.comparers, references, apiaries, track.Options{
		Compare: options, Calendar: calendar, Horizon: f.horizon, Wanted: wanted, Window: f.filter.from != "" || f.filter.to != "", Discarded: source.discarded, Counts: source.counts,
		Store: source.store(settingsKey(options, references)), Progress: progress.step,
	})
	progress.end()
	if err != nil {
		return nil, err
	}
	if err := f.filter.unknown(source.apiaries()); err != nil {
		return nil, err
	}
	source.describe(out.Tracks)
	out.Reading = append(out.Reading, append(doubts, geo.DoubtPlaces(source.apiaries(), nil)...)...)
	return out, ctx.Err()
}

// options are those of the comparisons, which are made at LC50 and where the bands
// apply, unless others were asked for.
func (f *trackFlags) options(analysis bioassay.AnalysisOptions, programme *bioassay.Programme) (bioassay.CompareOptions, error) {
	if analysis.Fit.Percents = []float64{50}; f.percents != nil {
		analysis.Fit.Percents = f.percents
	}
	options, err := f.compare.options(analysis, programme)
	if b := options.Bands; err == nil && b != nil && !slices.Contains(options.Analysis.Fit.Percents, b.Percent) {
		options.Analysis.Fit.Percents = append(options.Analysis.Fit.Percents, b.Percent)
	}
	return options, err
}

// methods tells how run would track, without tracking.
func (f *trackFlags) methods(ctx context.Context, stdin io.Reader, files []string, moribundGiven bool) (*render.Methods, error) {
	source, analysis, err := f.open(ctx, stdin, files, moribundGiven)
	if err != nil {
		return nil, err
	}
	defer source.close()
	options, err := f.options(analysis, source.programme())
	if err != nil {
		return nil, err
	}
	references, err := source.baselines(options)
	if err != nil {
		return nil, err
	}
	options.Analysis.Moribund = references[0].Assays[0].Moribund
	tracks := &render.Tracks{Version: version, Options: options, Tracking: &track.Tracking{Baselines: references}}
	source.describe(tracks)
	return tracks.Methods(), nil
}

// calendar is that of the programme, in the hemisphere of the command line, the
// programme or the apiaries. It is doubted where it names seasons by a hemisphere in
// which no apiary stands.
func (f *trackFlags) calendar(p *bioassay.Programme, apiaries []bioassay.Apiary) (c bioassay.Calendar, doubts []bioassay.Warning, err error) {
	if p.Calendar != nil {
		c = *p.Calendar
	}
	theirs, both := bioassay.HemisphereOfAll(apiaries)
	switch f.hemisphere {
	case "north":
		c.Hemisphere = bioassay.North
	case "south":
		c.Hemisphere = bioassay.South
	case "":
		if p.Calendar == nil {
			return bioassay.Calendar{Hemisphere: theirs}, nil, both
		}
	default:
		return c, nil, usageError{fmt.Errorf("hemisphere %q is neither north nor south", f.hemisphere)}
	}
	if len(c.Starts) == 0 && both == nil && theirs != c.Hemisphere && len(geo.PlacesOf(apiaries)) > 0 {
		doubts = append(doubts, bioassay.Warning{
			Code:    otherHemisphere,
			Message: fmt.Sprintf("the seasons are those of the %sern hemisphere, and every apiary with a place lies in the other one", c.Hemisphere),
			Cure:    "look whether latitude and longitude are exchanged in the table of apiaries, or a sign is missing; else correct the hemisphere of the programme or of --hemisphere",
		})
	}
	return c, doubts, nil
}

// otherHemisphere is the warning about seasons of a hemisphere without an apiary.
const otherHemisphere bioassay.WarningCode = "other-hemisphere"
