package track

import (
	"errors"
	"iter"
	"runtime"
	"slices"
	"sync"

	"vialwise/bioassay"
)

// Entry is an assay to be tracked, with a key that stands for its counts.
type Entry struct {
	bioassay.Assay
	Key string // for Options.Store; blank where results are not kept
}

// Store keeps results from one run to the next, by the key of an Entry. It must
// know nothing of results under other options or baselines.
type Store interface {
	Find(keys []string) (map[string]*bioassay.Brief, error)
	Keep(results map[string]*bioassay.Brief) error
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
	Store     Store  // nil where nothing is kept
	Progress  func() // called for every assay, by one goroutine at a time; may be nil
}

// DefaultHorizon is the number of seasons after which a result is too old.
const DefaultHorizon = 2

// batch is the number of assays that are looked up in the store at once.
const batch = 500

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
}

// all measures a stream in batches, while the next ones are read.
func (m *measurer) all(assays iter.Seq2[Entry, error]) ([]Measured, error) {
	const ahead = 2
	batches, stop := make(chan []Entry, ahead), make(chan struct{})
	failed := make(chan error, 1)
	go func() {
		defer close(batches)
		failed <- m.read(assays, batches, stop)
	}()
	var out []Measured
	var err error
	for entries := range batches {
		if err != nil {
			continue // the reader has been told, and ends
		}
		var found []Measured
		if found, err = m.measure(entries); err != nil {
			close(stop)
		}
		out = append(out, found...)
	}
	return out, errors.Join(<-failed, err)
}

// read puts the assays that are wanted into batches until it is told to stop.
func (m *measurer) read(assays iter.Seq2[Entry, error], batches chan<- []Entry, stop <-chan struct{}) error {
	waiting := make([]Entry, 0, batch)
	send := func() bool {
		select {
		case batches <- waiting:
			waiting = make([]Entry, 0, batch)
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
		if waiting = append(waiting, a); len(waiting) == batch && !send() {
			return nil
		}
	}
	if len(waiting) > 0 {
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
	out := make([]Measured, len(entries))
	next := make(chan int)
	var wait sync.WaitGroup
	for range min(runtime.GOMAXPROCS(0), len(entries)) {
		wait.Go(func() {
			for i := range next {
				out[i] = m.one(entries[i], kept)
				m.progress()
			}
		})
	}
	for i := range entries {
		next <- i
	}
	close(next)
	wait.Wait()
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

func (m *measurer) find(entries []Entry) (map[string]*bioassay.Brief, error) {
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

func (m *measurer) keep(entries []Entry, out []Measured, kept map[string]*bioassay.Brief) error {
	if m.o.Store == nil {
		return nil
	}
	fresh := map[string]*bioassay.Brief{}
	for i, e := range entries {
		if e.Key != "" && out[i].Brief != nil && kept[e.Key] == nil {
			fresh[e.Key] = out[i].Brief
		}
	}
	if len(fresh) == 0 {
		return nil
	}
	return m.o.Store.Keep(fresh)
}

// one measures an assay or says why not.
func (m *measurer) one(e Entry, kept map[string]*bioassay.Brief) Measured {
	out := m.describe(e.Assay)
	switch {
	case out.Apiary == "":
		out.LeftOut = "it names no apiary; fill the column apiary"
		return out
	case out.Season == bioassay.Season{}:
		out.LeftOut = "it has no day of collection; fill the column collected_on"
		return out
	}
	if m.o.Discarded != nil {
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
	if out.Brief = kept[e.Key]; out.Brief != nil {
		return out
	}
	if out.Brief, err = m.comparers[i].Brief(e.Assay); err != nil {
		out.LeftOut = err.Error()
	}
	return out
}

// describe is an assay without its counts.
func (m *measurer) describe(a bioassay.Assay) Measured {
	out := Measured{
		Assay: a.Name, Apiary: m.word(a.Apiary), Population: m.word(a.Population), Acaricide: m.word(a.Acaricide), Protocol: m.word(a.Protocol),
		Collected: a.CollectedOn, Season: m.o.Calendar.Of(a.CollectedOn), Baseline: -1,
	}
	if len(a.Containers) > 0 {
		out.Origin = a.Containers[0].Source
		out.Origin.File = m.word(out.Origin.File)
	}
	return out
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
