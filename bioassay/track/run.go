package track

import (
	"errors"
	"iter"
	"slices"
	"sync"

	"vialwise/bioassay"
	"vialwise/internal/parallel"
)

// Entry is an assay to be tracked. It may come without its containers, which
// Options.Counts reads where they are needed.
type Entry struct {
	bioassay.Assay
	Origin bioassay.Origin // where it stands
	Number int64           // by which Options.Counts finds its containers
	Key    string          // stands for its counts, for Options.Store; blank where results are not kept
	// Rules stands for all but its counts that Options.Discarded looks at; blank where
	// it is to be asked whatever was kept.
	Rules string
}

// Kept is the result of an assay on which claims may rest.
type Kept struct {
	Brief *bioassay.Brief
	Rules string // that let the assay pass, as its Entry had them
}

// passes says that the rules of an entry let its assay pass before.
func (k Kept) passes(e Entry) bool { return k.Brief != nil && k.Rules != "" && k.Rules == e.Rules }

// Store keeps results from one run to the next, by the key of an Entry. It must
// know nothing of results under other options or baselines. Several goroutines may
// call Find at once, Keep is called by one at a time.
type Store interface {
	Find(keys []string) (map[string]Kept, error)
	Keep(results map[string]Kept) error
}

// Options choose what is tracked and how.
type Options struct {
	Compare  bioassay.CompareOptions // as of the comparers; its percents must hold LC50
	Calendar bioassay.Calendar
	// Horizon is the number of the newest seasons of all that were tested in which an
	// apiary must have a result, or it needs a test; 0 for DefaultHorizon.
	Horizon int
	// Window says that Wanted leaves seasons out, so that an apiary without an assay
	// may have been tested before or after.
	Window bool
	// Wanted says whether an assay belongs to the question; nil for all.
	Wanted func(a bioassay.Assay, region string, s bioassay.Season) bool
	// Discarded says why no claim may rest on an assay, blank where one may; nil for
	// no such rule.
	Discarded func(bioassay.Assay) string
	// Counts reads the containers of entries that came without them; nil where none do.
	// Several goroutines may call it at once.
	Counts   func([]*Entry) error
	Store    Store  // nil where nothing is kept
	Progress func() // called for every assay, by one goroutine at a time; may be nil
}

// DefaultHorizon is the number of seasons after which a result is too old.
const DefaultHorizon = 2

const (
	batchSize = 500 // assays that are looked up in the store at once
	lanes     = 2   // batches under way at once: one computes while the other reads or is kept
)

// Run tracks a stream of field assays, each against the comparer that fits it,
// on all processors. Assays are let go once they are measured, and the result
// does not depend on their order. References run parallel to comparers. Run fails
// where the stream or the store does; an assay that cannot be compared is left
// out with the reason.
func Run(assays iter.Seq2[Entry, error], comparers []*bioassay.Comparer, references []Reference, apiaries []bioassay.Apiary, o Options) (*Tracking, error) {
	if len(references) != len(comparers) {
		panic("track: as many references as comparers are needed")
	}
	m := &measurer{comparers: comparers, o: o, regions: map[string]string{}, words: map[string]string{}}
	for _, a := range apiaries {
		m.regions[a.Code] = a.Region
	}
	measured, err := m.all(assays)
	if err != nil {
		return nil, err
	}
	return arrange(measured, comparers, references, apiaries, m.regions, o), nil
}

// measurer turns assays into results.
type measurer struct {
	comparers []*bioassay.Comparer
	o         Options
	regions   map[string]string // by apiary
	words     map[string]string // one string for each that comes again and again
	lock      sync.Mutex
	keeping   sync.Mutex // only one batch at a time is kept
}

// batch is a part of the stream.
type batch struct {
	number  int // from 0
	entries []Entry
}

// all measures a stream in batches, while the next ones are read.
func (m *measurer) all(assays iter.Seq2[Entry, error]) ([]Measured, error) {
	batches, stop := make(chan batch, lanes), make(chan struct{})
	var reading error
	go func() {
		defer close(batches)
		reading = m.read(assays, batches, stop)
	}()
	var wait sync.WaitGroup
	var lock sync.Mutex
	var out [][]Measured // by batch
	var failed error
	done := func(b batch, found []Measured, err error) {
		lock.Lock()
		defer lock.Unlock()
		out = append(out, make([][]Measured, max(0, b.number+1-len(out)))...)
		if out[b.number] = found; err != nil && failed == nil {
			failed = err
			close(stop)
		}
	}
	for range lanes {
		wait.Go(func() {
			for b := range batches {
				found, err := m.measure(b.entries)
				done(b, found, err)
			}
		})
	}
	wait.Wait()
	return slices.Concat(out...), errors.Join(reading, failed)
}

// read puts the assays that are wanted into batches until it is told to stop.
func (m *measurer) read(assays iter.Seq2[Entry, error], batches chan<- batch, stop <-chan struct{}) error {
	waiting := batch{}
	send := func() bool {
		select {
		case batches <- waiting:
			waiting = batch{number: waiting.number + 1}
			return true
		case <-stop:
			return false
		}
	}
	for a, err := range assays {
		if err != nil {
			return err
		}
		if m.o.Wanted != nil && !m.o.Wanted(a.Assay, m.regions[a.Apiary], m.o.Calendar.Of(a.CollectedOn)) {
			continue
		}
		if waiting.entries = append(waiting.entries, a); len(waiting.entries) == batchSize && !send() {
			return nil
		}
	}
	if len(waiting.entries) > 0 {
		send()
	}
	return nil
}

// measure measures a batch: what was kept is taken from the store, the rest is
// computed by all processors and kept.
func (m *measurer) measure(entries []Entry) ([]Measured, error) {
	kept, err := m.find(entries)
	if err != nil {
		return nil, err
	}
	if err := m.counts(entries, kept); err != nil {
		return nil, err
	}
	out := make([]Measured, len(entries))
	parallel.Each(len(entries), func(i int) {
		out[i] = m.one(entries[i], kept[entries[i].Key])
	}, m.progress)
	return out, m.keep(entries, out, kept)
}

func (m *measurer) progress() {
	if m.o.Progress == nil {
		return
	}
	m.lock.Lock()
	m.o.Progress()
	m.lock.Unlock()
}

func (m *measurer) find(entries []Entry) (map[string]Kept, error) {
	if m.o.Store == nil {
		return nil, nil
	}
	keys := make([]string, 0, len(entries))
	for _, e := range entries {
		if e.Key != "" {
			keys = append(keys, e.Key)
		}
	}
	return m.o.Store.Find(keys)
}

// counts reads the containers of the entries that what was kept leaves to be judged
// or computed.
func (m *measurer) counts(entries []Entry, kept map[string]Kept) error {
	if m.o.Counts == nil {
		return nil
	}
	var open []*Entry
	for i, e := range entries {
		if !kept[e.Key].passes(e) {
			open = append(open, &entries[i])
		}
	}
	if len(open) == 0 {
		return nil
	}
	return m.o.Counts(open)
}

func (m *measurer) keep(entries []Entry, out []Measured, kept map[string]Kept) error {
	if m.o.Store == nil {
		return nil
	}
	fresh := map[string]Kept{}
	for i, e := range entries {
		now := Kept{Brief: out[i].Brief, Rules: e.Rules}
		if e.Key != "" && now.Brief != nil && (kept[e.Key].Brief == nil || e.Rules != "" && !kept[e.Key].passes(e)) {
			fresh[e.Key] = now
		}
	}
	if len(fresh) == 0 {
		return nil
	}
	m.keeping.Lock()
	defer m.keeping.Unlock()
	return m.o.Store.Keep(fresh)
}

// one measures an assay or says why not.
func (m *measurer) one(e Entry, kept Kept) Measured {
	out := m.describe(e)
	switch {
	case out.Apiary == "":
		out.LeftOut = "it names no apiary; fill the column apiary"
		return out
	case out.Season == bioassay.Season{}:
		out.LeftOut = "it has no day of collection; fill the column collected_on"
		return out
	}
	if m.o.Discarded != nil && !kept.passes(e) {
		if out.LeftOut = m.o.Discarded(e.Assay); out.LeftOut != "" {
			return out
		}
	}
	i, err := bioassay.MatchComparer(e.Assay, m.comparers)
	if err != nil {
		out.LeftOut = err.Error()
		return out
	}
	out.Baseline = i
	if out.Brief = kept.Brief; out.Brief != nil {
		return out
	}
	if out.Brief, err = m.comparers[i].Brief(e.Assay); err != nil {
		out.LeftOut = err.Error()
	}
	return out
}

// describe is an assay without its counts.
func (m *measurer) describe(e Entry) Measured {
	return Measured{
		Assay: e.Name, Apiary: m.word(e.Apiary), Population: m.word(e.Population), Acaricide: m.word(e.Acaricide), Protocol: m.word(e.Protocol),
		Origin:    bioassay.Origin{File: m.word(e.Origin.File), Line: e.Origin.Line},
		Collected: e.CollectedOn, Season: m.o.Calendar.Of(e.CollectedOn), Baseline: -1,
	}
}

// word returns one string for all that are equal, so that a hundred thousand
// assays do not hold as many copies of ten words.
func (m *measurer) word(s string) string {
	m.lock.Lock()
	defer m.lock.Unlock()
	if w, ok := m.words[s]; ok {
		return w
	}
	m.words[s] = s
	return s
}

// arrange puts results into series and regions.
func arrange(measured []Measured, comparers []*bioassay.Comparer, references []Reference, apiaries []bioassay.Apiary, regions map[string]string, o Options) *Tracking {
	t := &Tracking{Calendar: o.Calendar, Level: o.Compare.Level(), Bands: o.Compare.Bands, Baselines: references}
	slices.SortFunc(measured, byPlace(o.Calendar))
	var usable []Measured
	for _, m := range measured {
		if m.Brief == nil {
			t.LeftOut = append(t.LeftOut, m)
			continue
		}
		usable = append(usable, m)
	}
	w := &work{comparers: comparers, calendar: o.Calendar, level: t.Level, bands: o.Compare.Bands, regions: regions, window: o.Window}
	t.Series = w.series(usable)
	t.Regions = w.regional(t.Series)
	t.Lacking = w.lacking(measured, apiaries, o.horizon())
	return t
}

func (o Options) horizon() int {
	if o.Horizon > 0 {
		return o.Horizon
	}
	return DefaultHorizon
}
