package doseresp

import (
	"math"
	"sync"
	"sync/atomic"
)

// highestRho is the largest correlation that is simulated.
const highestRho = 0.9

// bootstrap is the truth that is simulated and what its replicates gave.
type bootstrap struct {
	fit     *Result
	options Options // of the refits
	drawn   []drawnContainer
	rho     float64
	etas    []float64  // the η of each percent
	centre  []interval // of each percent, from the fit itself
	spans   []interval // of each replicate, one for each percent
	known   []Status   // of each replicate
}

// drawnContainer is a container of the design with its fitted mortality.
type drawnContainer struct {
	Container
	mortality float64
}

// newBootstrap takes the truth from a fit that f has just made.
func newBootstrap(f *Fitter, fit *Result, options Options) *bootstrap {
	b := &bootstrap{fit: fit, options: options, rho: momentRho(f, fit)}
	b.options.Percents = []float64{} // the limits of a replicate serve nobody
	b.options.Heterogeneity = Never
	for _, p := range options.Percents {
		b.etas = append(b.etas, options.Link.Quantile(p/100))
	}
	b.centre = make([]interval, len(b.etas))
	f.locate(fit, b.etas, b.centre)
	for _, c := range f.design.sorted {
		p := min(max(fit.Mortality(c.Dose), 0), 1)
		b.drawn = append(b.drawn, drawnContainer{c, p})
	}
	return b
}

// momentRho is (h - 1)/(n̄ - 1) where the heterogeneity was applied, else 0.
func momentRho(f *Fitter, fit *Result) float64 {
	if !fit.Heterogeneity.Applied {
		return 0
	}
	exposed, _ := f.design.totals()
	containers := f.design.containers
	if n := f.model.control.exposed; n > 0 {
		exposed += n
		containers += f.design.controls
	}
	mean := exposed / float64(containers)
	if !(mean > 1) {
		return 0 // one in each: nothing can correlate
	}
	return min(max((fit.Heterogeneity.H-1)/(mean-1), 0), highestRho)
}

// locate writes log10 LCp, of the fit that f has just made, at each η to dst.
func (f *Fitter) locate(r *Result, etas []float64, dst []interval) {
	s, d := &f.summit, &f.design
	for i, eta := range etas {
		switch r.Status {
		case Converged:
			x := d.centre + d.scale*(eta-s.a)/s.b
			dst[i] = interval{x, x}
		case Separated, AllDead, NoneDead:
			dst[i] = interval{math.Log10(r.Bracket.Lower), math.Log10(r.Bracket.Upper)}
		default:
			dst[i] = interval{math.NaN(), math.NaN()}
		}
	}
}

// run draws and fits the replicates. Each has random numbers of its own and a
// place of its own for what it gives, so that workers may take them in any order.
func (b *bootstrap) run(boot *BootstrapOptions) {
	b.known = make([]Status, boot.Replicates)
	b.spans = make([]interval, boot.Replicates*len(b.etas))
	var next atomic.Int64
	var workers sync.WaitGroup
	for range min(boot.Workers, boot.Replicates) {
		workers.Go(func() {
			w := bootstrapWorker{bootstrap: b, counts: make([]Container, len(b.drawn))}
			for i := int(next.Add(1)) - 1; i < boot.Replicates; i = int(next.Add(1)) - 1 {
				w.replicate(i, boot.NewSampler(i))
			}
		})
	}
	workers.Wait()
}

// bootstrapWorker is the memory of one goroutine.
type bootstrapWorker struct {
	*bootstrap
	fitter Fitter
	result Result
	counts []Container
}

func (w *bootstrapWorker) replicate(i int, random Sampler) {
	for k, c := range w.drawn {
		w.counts[k] = c.Container
		if w.rho > 0 {
			w.counts[k].Dead = random.BetaBinomial(c.Exposed, c.mortality, w.rho)
		} else {
			w.counts[k].Dead = random.Binomial(c.Exposed, c.mortality)
		}
	}
	if err := w.fitter.Fit(w.counts, w.options, &w.result); err != nil {
		w.result.Status = NoSlope // counts without a fit say as little
	}
	w.known[i] = w.result.Status
	n := len(w.etas)
	w.fitter.locate(&w.result, w.etas, w.spans[i*n:(i+1)*n])
}
