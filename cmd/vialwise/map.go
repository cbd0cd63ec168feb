package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"vialwise/bioassay"
	"vialwise/bioassay/atlas"
	"vialwise/bioassay/geo"
	"vialwise/plots"
)

// mapFlags are those of map beyond the flags of track.
type mapFlags struct {
	track           trackFlags
	land, previous  string
	out, season     string
	side            float64
	doubled, fewest int
	anew, exact     bool
	quiet           bool
	mark            string
}

// The files of a map. Those of an exact one begin otherwise.
const (
	mapPage     = "map.html"
	mapGeoJSON  = "map.geojson"
	exactPrefix = "exact-"
)

func newMap() *cobra.Command {
	var flags mapFlags
	cmd := &cobra.Command{
		Use:   "map [FILE…]",
		Short: "Map a region without giving away anyone's hives",
		Long: `Map reads the registry, or count tables where some are named with --apiaries, and
writes a folder: map.html, a page that needs no network, with every acaricide and
season and a table of the same facts; map.geojson for programs of geography; and for
print one SVG and one PDF of each acaricide.

The map shows areas and no apiaries: squares of an equal-area grid, divided where
their parts hold enough apiaries, each with the number of apiaries tested, their mean
ratio and the share expected in each band. An area with fewer results than --fewest
tells nothing. No total is published beside the areas, and an edition that follows
another one must take it over with --previous, so that no difference of the two
tells of one apiary: a season that was published stays as it was until enough further
apiaries have results. Publish a season when it is over.

With --exact the places and codes of apiaries are on the map. Every file then says
that it is not for sharing.`,
		Example: `  vialwise map --land coast.geojson --out map
  vialwise map --previous map/map.geojson --land coast.geojson --out map-autumn
  vialwise map --apiaries apiaries.csv --side-km 5 --season all --out map counts.csv`,
		RunE: func(cmd *cobra.Command, files []string) error { return flags.run(cmd, files) },
	}
	flags.track.register(cmd.Flags())
	flags.register(cmd.Flags())
	return cmd
}

func (f *mapFlags) register(flags *pflag.FlagSet) {
	flags.StringVar(&f.land, "land", "", "GeoJSON file with land and boundaries to draw")
	flags.StringVar(&f.previous, "previous", "", "map.geojson of the edition before this one")
	flags.BoolVar(&f.anew, "anew", false, "no edition was published before this one: say nothing about it")
	flags.Float64Var(&f.side, "side-km", 0, fmt.Sprintf("length of the side of the smallest square, in km (default: that of the programme, else %g)", atlas.DefaultSide))
	flags.IntVar(&f.doubled, "doubled", 0, fmt.Sprintf("how often the largest square is twice as wide as the one below, -1 for never (default: that of the programme, else %d)", atlas.DefaultTop))
	flags.IntVar(&f.fewest, "fewest", 0, fmt.Sprintf("apiaries that an area must show (default: that of the programme, else %d)", atlas.LeastK))
	flags.StringVar(&f.season, "season", "", "season of the printed maps, such as 2031-spring, or all (default: the newest of each acaricide)")
	flags.BoolVar(&f.exact, "exact", false, "show apiaries at their exact places; the files are then not for sharing")
	flags.StringVar(&f.out, "out", "", "folder to write, which is made where there is none")
	flags.BoolVar(&f.quiet, "quiet", false, "no remarks on standard error")
}

func (f *mapFlags) run(cmd *cobra.Command, files []string) error {
	known, err := f.tracked(cmd, files)
	if err != nil {
		return err
	}
	defer known.close()
	_, made, err := f.drawn(cmd, known)
	if err != nil {
		return err
	}
	return writeArtefacts(f.out, made)
}

// tracked looks at the flags and tracks what a map shows.
func (f *mapFlags) tracked(cmd *cobra.Command, files []string) (*tracked, error) {
	if err := f.check(files); err != nil {
		return nil, err
	}
	return f.track.run(cmd.Context(), cmd.InOrStdin(), files, cmd.Flags().Changed("moribund"), newProgress(cmd.ErrOrStderr(), f.quiet))
}

// drawn makes the map and its files, with the remarks on it.
func (f *mapFlags) drawn(cmd *cobra.Command, known *tracked) (*region, []artefact, error) {
	if !f.quiet { // before anything can fail: a wrong place may be why
		remark(cmd.ErrOrStderr(), known.Reading)
		f.remarkPlaces(cmd.ErrOrStderr(), known.apiaries)
	}
	r, warnings, err := f.region(known)
	if err != nil {
		return nil, nil, err
	}
	if !f.quiet {
		remark(cmd.ErrOrStderr(), warnings)
		f.remarkAnew(cmd.ErrOrStderr())
	}
	made, err := f.shared(r, known)
	return r, made, err
}

// remarkPlaces says where the apiaries lie if there is no land to compare them with.
func (f *mapFlags) remarkPlaces(stderr io.Writer, apiaries []bioassay.Apiary) {
	if where := geo.Whereabouts(apiaries); f.land == "" && where != "" {
		fmt.Fprintf(stderr, "vialwise: %s; if that is wrong, look whether latitude and longitude are exchanged (with --land the map is compared with a coast or boundaries)\n", where)
	}
}

// remarkAnew says that an edition follows no other one.
func (f *mapFlags) remarkAnew(stderr io.Writer) {
	if f.previous == "" && !f.exact && !f.anew {
		fmt.Fprintln(stderr, "vialwise: the areas of this map are drawn anew: if a map of the region was published before, follow it with --previous, or the two can be subtracted from one another")
	}
}

// check looks at the flags before anything is read. A folder with an edition is
// not written over by one that does not follow it.
func (f *mapFlags) check(files []string) error {
	if f.out == "" {
		return usageError{errors.New("a map is a folder of files: name it, as in --out map")}
	}
	if f.fewest != 0 && f.fewest < atlas.LeastK {
		return usageError{fmt.Errorf("fewest %d: areas of fewer than %d apiaries would tell of single ones", f.fewest, atlas.LeastK)}
	}
	if f.side != 0 && !(f.side >= geo.SmallestSide && f.side <= geo.LargestSide) {
		return usageError{fmt.Errorf("side-km %g must lie from %g to %g", f.side, geo.SmallestSide, geo.LargestSide)}
	}
	if f.previous != "" && f.anew {
		return usageError{errors.New("--previous and --anew contradict each other: an edition follows another one or does not")}
	}
	if f.previous != "" && (f.side != 0 || f.doubled != 0 || f.fewest != 0) {
		return usageError{errors.New("the squares of an earlier edition and its fewest apiaries stay as they are: leave --side-km, --doubled and --fewest out")}
	}
	if len(files) > 0 && f.track.apiaries == "" {
		return usageError{errors.New("a map of count tables needs the places of the apiaries, as in --apiaries apiaries.csv")}
	}
	if exists(filepath.Join(f.out, f.otherPrefix()+mapGeoJSON)) {
		return fmt.Errorf("the folder %s holds a map that %s be shared; write this one, which %s, into another folder", f.out, sharing(!f.exact), sharing(f.exact))
	}
	if exists(filepath.Join(f.out, mapGeoJSON)) && f.previous == "" && !f.exact {
		return fmt.Errorf("the folder %s holds an edition of a map: follow it with --previous %s, or, if it was never published, delete the folder first", f.out, filepath.Join(f.out, mapGeoJSON))
	}
	return nil
}

// options are those of the command line, then of the programme.
func (f *mapFlags) options(s bioassay.MapSettings, bands *bioassay.RatioBands) (o atlas.Options, err error) {
	o = atlas.Options{Side: f.side, Top: f.doubled, K: f.fewest}
	if f.previous != "" {
		c, _, err := readGeoJSON(f.previous)
		if err != nil {
			return o, err
		}
		if o.Previous, err = atlas.ReadEdition(c, bands); err != nil {
			return o, fmt.Errorf("%s: %w", f.previous, err)
		}
	}
	if o.Previous != nil {
		return o, nil // whose squares and fewest apiaries stay
	}
	o.Side, o.Top, o.K = cmp.Or(o.Side, s.SideKM), cmp.Or(o.Top, s.Doubled), cmp.Or(o.K, s.Fewest)
	return o, nil
}

func readGeoJSON(path string) (*geo.FeatureCollection, []bioassay.Warning, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, nil, fmt.Errorf("cannot read the GeoJSON file: %w; name one that exists", err)
	}
	defer file.Close()
	return geo.Read(path, file)
}

// region makes everything that the map shows, on the land of a file.
func (f *mapFlags) region(known *tracked) (*region, []bioassay.Warning, error) {
	if f.land == "" {
		return f.regionOn(known, nil)
	}
	land, warnings, err := readGeoJSON(f.land)
	if err != nil {
		return nil, nil, err
	}
	r, more, err := f.regionOn(known, land)
	for _, doubt := range land.Doubts(geo.PlacesOf(known.apiaries)) {
		doubt.File = f.land
		warnings = append(warnings, doubt)
	}
	return r, append(warnings, more...), err
}

// regionOn makes it on land, which may be nil.
func (f *mapFlags) regionOn(known *tracked, land *geo.FeatureCollection) (*region, []bioassay.Warning, error) {
	if known.Options.Bands == nil {
		return nil, nil, usageError{errors.New("a map shows bands of the ratio: leave --bands none out")}
	}
	o, err := f.options(known.programme.Map, known.Options.Bands)
	if err != nil {
		return nil, nil, err
	}
	a, warnings, err := atlas.New(known.Tracking, known.comparers, known.apiaries, o)
	if err != nil {
		return nil, nil, err
	}
	if len(a.Areas) == 0 && !f.exact {
		return nil, nil, fmt.Errorf("no area holds %d apiaries with a place; choose larger squares with --side-km or --doubled, or --exact for the programme's own eyes", a.K)
	}
	r := &region{atlas: a, mark: f.mark, name: known.programme.Name, bands: bandWords(known.Options.Bands)}
	var places []geo.XY
	if f.exact {
		r.exact = atlas.NewExact(known.apiaries)
		for _, x := range r.exact.Apiaries {
			places = append(places, a.Grid.Projection.Forward(x.Place))
		}
	}
	r.framed(places)
	if land != nil {
		r.draw(land)
	}
	return r, warnings, nil
}

// bandWords say what bands are of and where they come from.
func bandWords(b *bioassay.RatioBands) string {
	return "Bands of the ratio by rule set " + b.Basis.String() + ". The lowest band is not the same as susceptible: susceptible mites vary less."
}

// artefact is a file of a folder that a command writes.
type artefact struct {
	name string
	data []byte
}

// shared makes every file, and looks whether one of them names what it must not.
func (f *mapFlags) shared(r *region, known *tracked) ([]artefact, error) {
	made, err := f.artefacts(r)
	if err == nil && !f.exact {
		err = leak(made, known)
	}
	return made, err
}

// artefacts makes every file of the map in memory.
func (f *mapFlags) artefacts(r *region) (made []artefact, err error) {
	figures, err := f.figures(r)
	if err != nil {
		return nil, err
	}
	var page, points bytes.Buffer
	if err := r.page(mapLinks(figures, f.prefix())).Write(&page); err != nil {
		return nil, err
	}
	if err := r.collection().Write(&points); err != nil {
		return nil, err
	}
	made = []artefact{{f.prefix() + mapPage, page.Bytes()}, {f.prefix() + mapGeoJSON, points.Bytes()}}
	for _, figure := range figures {
		for _, format := range []plots.Format{plots.SVG, plots.PDF} {
			var b bytes.Buffer
			if err := plots.Write(&b, figure.figure, format); err != nil {
				return nil, fmt.Errorf("the map %s: %w", figure.name, err)
			}
			made = append(made, artefact{figure.file + "." + strings.ToLower(format.String()), b.Bytes()})
		}
	}
	return made, nil
}

// otherPrefix is that of the maps which must not lie beside this one.
func (f *mapFlags) otherPrefix() string {
	if f.exact {
		return ""
	}
	return exactPrefix
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}

// sharing says whether a map may be shared.
func sharing(exact bool) string {
	if exact {
		return "must not"
	}
	return "may"
}

func (f *mapFlags) prefix() string {
	if f.exact {
		return exactPrefix
	}
	return ""
}

// writeArtefacts writes files into a folder, which is made where there is none.
func writeArtefacts(folder string, made []artefact) error {
	if err := os.MkdirAll(folder, 0o755); err != nil {
		return fmt.Errorf("cannot write the files: %w; choose another folder with --out", err)
	}
	for _, a := range made {
		if err := writeFile(filepath.Join(folder, a.name), a.data); err != nil {
			return err
		}
	}
	return nil
}
