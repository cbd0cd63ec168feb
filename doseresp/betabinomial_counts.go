package doseresp

// betaCounts is an assay as the beta-binomial likelihood needs it: by dose, how
// many containers have more than k dead, more than k alive, and more than k
// individuals at all. Containers at one dose share P, so their terms for one k
// are computed once.
type betaCounts struct {
	control betaGroup // empty where the model has no control
	treated []betaGroup
	sizes   betaSide  // the individuals of every container in the likelihood
	more    []float64 // the counts of all sides, one after the other
}

// betaGroup is one dose.
type betaGroup struct {
	u           float64
	dead, alive betaSide
}

// betaSide is what is counted of one kind: more[from:to] are the containers
// with more than 1, 2, ... The sums serve the limit ρ = 0.
type betaSide struct {
	from, to    int
	first       float64 // containers with any
	n           float64 // Σ 1 over containers and k from 0 to below their count
	sumK, sumK2 float64 // Σ k and Σ k², likewise
}

// betaRoom is memory for the counts of an assay of ordinary size, to be kept
// on the caller's stack. Larger ones allocate.
type betaRoom struct {
	more   [768]float64
	groups [16]betaGroup
}

// betaKind says what of a container is counted.
type betaKind uint8

const (
	countDead betaKind = iota
	countAlive
	countExposed
)

func (k betaKind) of(c *Container) int {
	switch k {
	case countDead:
		return c.Dead
	case countAlive:
		return c.Exposed - c.Dead
	default:
		return c.Exposed
	}
}

// countBeta counts the containers of a model, in room as far as it reaches.
func (m *model) countBeta(room *betaRoom) betaCounts {
	var control betaGroup
	treated, more := room.groups[:0], room.more[:0]
	all, rest := m.treatedContainers(), m.treatedContainers()
	if m.control.exposed > 0 {
		all = m.sorted
		control, more = countGroup(m.sorted[:m.controls], more)
	}
	sizes, more := countSide(all, countExposed, more)
	for i := range m.treated {
		n := 0
		for n < len(rest) && rest[n].Dose == m.treated[i].dose {
			n++
		}
		var g betaGroup
		g, more = countGroup(rest[:n], more)
		g.u = m.treated[i].u
		treated = append(treated, g)
		rest = rest[n:]
	}
	return betaCounts{control, treated, sizes, more}
}

// countGroup counts the dead and the alive of one dose. Their counts are
// appended to more, which is returned.
func countGroup(containers []Container, more []float64) (g betaGroup, _ []float64) {
	g.dead, more = countSide(containers, countDead, more)
	g.alive, more = countSide(containers, countAlive, more)
	return g, more
}

// countSide counts one kind, likewise.
func countSide(containers []Container, kind betaKind, more []float64) (betaSide, []float64) {
	s := betaSide{from: len(more)}
	most := 0
	for i := range containers {
		n := kind.of(&containers[i])
		most = max(most, n)
		if n > 0 {
			s.first++
		}
		s.n += float64(n)
	}
	for range most - 1 {
		more = append(more, 0)
	}
	s.to = len(more)
	own := more[s.from:]
	for i := range containers {
		for k := range kind.of(&containers[i]) - 1 {
			own[k]++
		}
	}
	for i, n := range own {
		k := float64(i + 1)
		s.sumK += k * n
		s.sumK2 += k * k * n
	}
	return s, more
}
