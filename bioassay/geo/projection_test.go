package geo

import (
	"math"
	"math/rand/v2"
	"testing"
)

// exactDegrees is the accuracy that Projection states for its inverse.
const exactDegrees = 1e-9

// TestSnyderOblique: the example of Snyder 1987, appendix A, pp. 333-336, on
// the ellipsoid of Clarke 1866. The book gives the plane to 0.01 m from
// constants of seven digits.
func TestSnyderOblique(t *testing.T) {
	const printed = 0.02e-3 // km
	p := newProjection(Point{-100, 40}, newEllipsoid(6378.2064, 0.00676866))
	for _, c := range []struct {
		name      string
		got, want float64
		within    float64
	}{
		{"Rq", p.el.radius, 6370.99724, 1e-5},
		{"qp", p.el.qp, 1.9954814, 1e-7},
		{"D", p.d, 1.0006653, 1e-7},
		{"beta1", math.Atan2(p.sin1, p.cos1) / degree, 39.8722878, 1e-7},
		{"x", p.Forward(Point{-110, 30})[0], -965.93211, printed},
		{"y", p.Forward(Point{-110, 30})[1], -1056.81493, printed},
		{"longitude", p.Inverse(XY{-965.9321, -1056.8149}).Lon, -110, 5e-7},
		{"latitude", p.Inverse(XY{-965.9321, -1056.8149}).Lat, 30, 5e-7},
	} {
		if math.Abs(c.got-c.want) > c.within {
			t.Errorf("%s is %.8f, the book has %.8f", c.name, c.got, c.want)
		}
	}
}

// TestSnyderPolar: the example of the polar aspect, pp. 334-337, on the
// International ellipsoid.
func TestSnyderPolar(t *testing.T) {
	const printed = 0.05e-3 // km; q and qp are printed to eight digits and cancel
	p := newProjection(Point{-100, 90}, newEllipsoid(6378.388, 0.00672267))
	xy := p.Forward(Point{5, 80})
	if math.Abs(xy[0]-1077.45969) > printed || math.Abs(xy[1]-288.70445) > printed {
		t.Errorf("%.6f, the book has 1077.45969, 288.70445", xy)
	}
}

// centres are centres at which a projection could go wrong.
var centres = []Point{{-45, 41}, {0, 0}, {180, -17}, {-180, 65}, {179, 84}, {0, 90}, {30, -90}, nearPole, {100, -89.5}, {-71, -43}}

func TestInverseUndoesForward(t *testing.T) {
	rng := rand.New(rand.NewPCG(8, 1))
	for _, centre := range centres {
		p := NewProjection(centre)
		for range 2000 {
			// An even choice of directions and of distances up to 10,000 km.
			angle, rho := 2*math.Pi*rng.Float64(), 8900*rng.Float64()
			at := XY{rho * math.Cos(angle), rho * math.Sin(angle)}
			q := p.Inverse(at)
			back := p.Forward(q)
			if off := math.Hypot(back[0]-at[0], back[1]-at[1]); off > exactDegrees*111 {
				t.Fatalf("centre %v: %v is %v and comes back as %v, %.3g km away", centre, at, q, back, off)
			}
			if math.Abs(q.Lat) > 90 || q.Lon <= -180 || q.Lon > 180 {
				t.Fatalf("centre %v: %v is no place", centre, q)
			}
			again := p.Inverse(back)
			if math.Abs(again.Lat-q.Lat) > exactDegrees || math.Abs(turn(again.Lon-q.Lon))*math.Cos(q.Lat*degree) > exactDegrees {
				t.Fatalf("centre %v: %v comes back as %v", centre, q, again)
			}
		}
	}
}

func TestCentreAndBeyond(t *testing.T) {
	for _, centre := range centres {
		p := NewProjection(centre)
		if xy := p.Forward(centre); math.Hypot(xy[0], xy[1]) > 1e-9 {
			t.Errorf("centre %v is mapped to %v", centre, xy)
		}
		if q := p.Inverse(XY{}); q != centre {
			t.Errorf("the middle of the plane is %v, not %v", q, centre)
		}
		antipode := p.Forward(Point{turn(centre.Lon + 180), -centre.Lat})
		if math.IsNaN(antipode[0]+antipode[1]) || math.Hypot(antipode[0], antipode[1]) > 12800 {
			t.Errorf("centre %v: the antipode is mapped to %v", centre, antipode)
		}
		if q := p.Inverse(XY{1e6, 1e6}); math.IsNaN(q.Lon) || math.Abs(q.Lat) > 90 {
			t.Errorf("centre %v: outside the globe lies %v", centre, q)
		}
	}
}

// TestNearThePole: the plane about a place 1.1 m from the pole is that about
// the pole, but for this metre.
func TestNearThePole(t *testing.T) {
	at, near := NewProjection(Point{nearPole.Lon, 90}), NewProjection(nearPole)
	for lon := -180.0; lon <= 180; lon += 15 {
		for lat := 30.0; lat < 90; lat += 7 {
			d := diff(at.Forward(Point{lon, lat}), near.Forward(Point{lon, lat}))
			if off := math.Hypot(d[0], d[1]); off > .0015 {
				t.Errorf("longitude %v, latitude %v: the planes differ by %v km", lon, lat, off)
			}
		}
	}
}

// TestAreaIsKept measures the projection itself: the determinant of its
// derivatives against the surface element of the ellipsoid, a² (1-e²) cos φ /
// (1 - e² sin² φ)² (Snyder 1987, from (4-18) and (4-20); from memory).
func TestAreaIsKept(t *testing.T) {
	const step, within = 1e-4, 1e-6 // degrees; share
	rng := rand.New(rand.NewPCG(8, 2))
	for _, centre := range centres {
		p := NewProjection(centre)
		for range 300 {
			q := p.Inverse(XY{5000 * (rng.Float64() - .5), 5000 * (rng.Float64() - .5)})
			if math.Abs(q.Lat) > 89 {
				continue
			}
			dx := diff(p.Forward(Point{q.Lon + step, q.Lat}), p.Forward(Point{q.Lon - step, q.Lat}))
			dy := diff(p.Forward(Point{q.Lon, q.Lat + step}), p.Forward(Point{q.Lon, q.Lat - step}))
			got := (dx[0]*dy[1] - dx[1]*dy[0]) / (2 * step * degree) / (2 * step * degree)
			sin, cos := math.Sincos(q.Lat * degree)
			w := 1 - wgs84.e2*sin*sin
			want := wgs84.a * wgs84.a * (1 - wgs84.e2) * cos / (w * w)
			if math.Abs(got/want-1) > within {
				t.Fatalf("centre %v, %v: an area is drawn %.8f times as large", centre, q, got/want)
			}
		}
	}
}

func diff(a, b XY) XY { return XY{a[0] - b[0], a[1] - b[1]} }

// TestStretch holds the stated stretch against short lengths all around.
func TestStretch(t *testing.T) {
	for _, centre := range centres {
		p := NewProjection(centre)
		for _, km := range []float64{100, 500, 1000, 2000, 4000} {
			worst := 0.0
			for angle := 0.0; angle < 2*math.Pi; angle += .1 {
				for across := 0.0; across < math.Pi; across += .2 {
					worst = max(worst, stretched(p, XY{km * math.Cos(angle), km * math.Sin(angle)}, across))
				}
			}
			stated := p.Stretch(km)
			if worst > 1.1*stated+2e-5 || worst < .85*stated-2e-5 {
				t.Errorf("centre %v at %v km: lengths are off by %.5f, stated is %.5f", centre, km, worst, stated)
			}
		}
	}
}

// stretched returns by how much a short length at a place of the plane differs
// from its length on the ellipsoid, by the radii of curvature (Snyder 1987,
// (4-18) and (4-20); from memory).
func stretched(p *Projection, at XY, across float64) float64 {
	const km = 0.5
	step := XY{km * math.Cos(across), km * math.Sin(across)}
	a, b := p.Inverse(XY{at[0] - step[0], at[1] - step[1]}), p.Inverse(XY{at[0] + step[0], at[1] + step[1]})
	return math.Abs(2*km/shortLength(a, b) - 1)
}

func shortLength(a, b Point) float64 {
	sin := math.Sin((a.Lat + b.Lat) / 2 * degree)
	w := 1 - wgs84.e2*sin*sin
	north := wgs84.a * (1 - wgs84.e2) / math.Pow(w, 1.5) * (b.Lat - a.Lat) * degree
	// The chord across a parallel, which holds near a pole too.
	half := math.Abs(turn(b.Lon-a.Lon)) * degree / 2
	east := wgs84.a / math.Sqrt(w) * math.Sqrt(math.Max(0, math.Cos(a.Lat*degree)*math.Cos(b.Lat*degree))) * 2 * math.Sin(half)
	return math.Hypot(north, east)
}

func TestDescribe(t *testing.T) {
	for want, centre := range map[string]Point{
		"Lambert azimuthal equal-area, centre 40.6 N 45.1 W, WGS 84": {-45.1, 40.6},
		"Lambert azimuthal equal-area, centre 17 S 180 E, WGS 84":    {180, -17},
		"Lambert azimuthal equal-area, centre 90 N 0 E, WGS 84":      {0, 90},
	} {
		if got := NewProjection(centre).Describe(); got != want {
			t.Errorf("%q, want %q", got, want)
		}
	}
}

func TestConvergence(t *testing.T) {
	const within = 1e-4 // degrees
	north := NewProjection(Point{0, 90})
	for lon, want := range map[float64]float64{0: 0, 90: -90, -30: 30} {
		if got := north.Convergence(Point{lon, 80}); math.Abs(got-want) > within {
			t.Errorf("at the pole, longitude %v: %v, want %v", lon, got, want)
		}
	}
	if got := NewProjection(Point{-45, 41}).Convergence(Point{-45, 50}); math.Abs(got) > within {
		t.Errorf("on the middle meridian: %v", got)
	}
	if got := NewProjection(Point{-45, 60}).Convergence(Point{-35, 60}); math.Abs(got+10*math.Sin(60*degree)) > .2 {
		t.Errorf("10 degrees east at 60 N: %v, want near %v", got, -10*math.Sin(60*degree))
	}
	if !math.IsNaN(north.Convergence(Point{0, 90})) {
		t.Error("north has a direction at the pole")
	}
}

func TestNewProjectionPanics(t *testing.T) {
	for _, q := range []Point{{0, 91}, {181, 0}, {math.NaN(), 0}, {0, math.NaN()}} {
		mustPanic(t, func() { NewProjection(q) })
	}
}

func mustPanic(t *testing.T, do func()) {
	t.Helper()
	defer func() {
		if recover() == nil {
			t.Error("no panic")
		}
	}()
	do()
}
