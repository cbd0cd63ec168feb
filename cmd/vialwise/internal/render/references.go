package render

import (
	"fmt"
	"regexp"
	"slices"
	"strings"
)

// Reference is a work that a method rests on.
type Reference struct {
	Key     string
	Kind    string   // article, book or software, as BibTeX's common styles know them
	Authors []string // "Family, Given", or a name in braces that stays whole
	Year    int
	Title   string
	Where   string // journal or publisher
	Volume  string
	Pages   string
	Note    string // what is not certain about the entry
}

// Notes on entries, or on titles, that were not looked up.
const (
	fromMemory  = "Cited from memory; check before use"
	titleMemory = "Title from memory; check before use"
)

// references are the works behind the methods. Those that the code cites from
// memory say so, and so do titles that nobody looked up.
var references = []Reference{
	{"abbott1925", "article", []string{"Abbott, W. S."}, 1925, "A method of computing the effectiveness of an insecticide", "Journal of Economic Entomology", "18", "265-267", ""},
	{"brown2001", "article", []string{"Brown, L. D.", "Cai, T. T.", "DasGupta, A."}, 2001, "Interval estimation for a binomial proportion", "Statistical Science", "16", "101-133", fromMemory},
	{"clopper1934", "article", []string{"Clopper, C. J.", "Pearson, E. S."}, 1934, "The use of confidence or fiducial limits illustrated in the case of the binomial", "Biometrika", "26", "404-413", ""},
	{"efron1979", "article", []string{"Efron, B."}, 1979, "Bootstrap methods: another look at the jackknife", "Annals of Statistics", "7", "1-26", fromMemory},
	{"efron1987", "article", []string{"Efron, B."}, 1987, "Better bootstrap confidence intervals", "Journal of the American Statistical Association", "82", "171-185", fromMemory},
	{"fieller1940", "article", []string{"Fieller, E. C."}, 1940, "The biological standardization of insulin", "Supplement to the Journal of the Royal Statistical Society", "7", "1-64", titleMemory},
	{"finney1971", "book", []string{"Finney, D. J."}, 1971, "Probit Analysis, 3rd edition", "Cambridge University Press", "", "", ""},
	{"griffiths1973", "article", []string{"Griffiths, D. A."}, 1973, "Maximum likelihood estimation for the beta-binomial distribution and an application to the household distribution of the total number of cases of a disease", "Biometrics", "29", "637-648", fromMemory},
	{"henderson1975", "article", []string{"Henderson, C. R."}, 1975, "Best linear unbiased estimation and prediction under a selection model", "Biometrics", "31", "423-447", titleMemory},
	{"holm1979", "article", []string{"Holm, S."}, 1979, "A simple sequentially rejective multiple test procedure", "Scandinavian Journal of Statistics", "6", "65-70", ""},
	{"knapp2003", "article", []string{"Knapp, G.", "Hartung, J."}, 2003, "Improved tests for a random effects meta-regression with a single covariate", "Statistics in Medicine", "22", "2693-2710", ""},
	{"mccullagh1989", "book", []string{"McCullagh, P.", "Nelder, J. A."}, 1989, "Generalized Linear Models, 2nd edition", "Chapman and Hall", "", "", fromMemory},
	{"nagashima2019", "article", []string{"Nagashima, K.", "Noma, H.", "Furukawa, T. A."}, 2019, "Prediction intervals for random-effects meta-analysis: a confidence distribution approach", "Statistical Methods in Medical Research", "28", "1689-1702", fromMemory},
	{"paule1982", "article", []string{"Paule, R. C.", "Mandel, J."}, 1982, "Consensus values and weighting factors", "Journal of Research of the National Bureau of Standards", "87", "377-385", ""},
	{"robertson1992", "book", []string{"Robertson, J. L.", "Preisler, H. K."}, 1992, "Pesticide Bioassays with Arthropods", "CRC Press", "", "", ""},
	{"self1987", "article", []string{"Self, S. G.", "Liang, K.-Y."}, 1987, "Asymptotic properties of maximum likelihood estimators and likelihood ratio tests under nonstandard conditions", "Journal of the American Statistical Association", "82", "605-610", fromMemory},
	{"venzon1988", "article", []string{"Venzon, D. J.", "Moolgavkar, S. H."}, 1988, "A method for computing profile-likelihood-based confidence intervals", "Applied Statistics", "37", "87-94", fromMemory},
	{"vialwise", "software", []string{"{The Vialwise authors}"}, 2026, "Vialwise: dose-response analysis of vial bioassays of varroa mites", "", "", "", ""},
	{"zou2008", "article", []string{"Zou, G. Y.", "Donner, A."}, 2008, "Construction of confidence limits about effect measures: a general approach", "Statistics in Medicine", "27", "1693-1702", ""},
}

// Short is the reference as a text cites it: authors and year.
func (r Reference) Short() string {
	var names []string
	for _, a := range r.Authors {
		family, _, _ := strings.Cut(strings.Trim(a, "{}"), ",")
		names = append(names, family)
	}
	who := strings.Join(names, " & ")
	if len(names) > 2 {
		who = names[0] + " et al."
	}
	return fmt.Sprintf("%s %d", who, r.Year)
}

// String is the reference as a list of references prints it.
func (r Reference) String() string {
	who := strings.Trim(strings.Join(r.Authors, ", "), "{}")
	s := fmt.Sprintf("%s (%d). %s.", who, r.Year, r.Title)
	if r.Where != "" {
		s += " " + r.Where
		if r.Volume != "" {
			s += " " + r.Volume + ":" + r.Pages
		}
		s += "."
	}
	if r.Note != "" {
		s += " " + r.Note + "."
	}
	return s
}

var citation = regexp.MustCompile(`\[\[([a-z0-9,]+)\]\]`)

// cited replaces the citations of a text.
func cited(text string, write func([]Reference) string) string {
	return citation.ReplaceAllStringFunc(text, func(mark string) string { return write(behind(mark)) })
}

// behind returns the works that a citation names. An unknown key is a mistake in
// this package.
func behind(mark string) []Reference {
	var list []Reference
	for key := range strings.SplitSeq(citation.FindStringSubmatch(mark)[1], ",") {
		i := slices.IndexFunc(references, func(r Reference) bool { return r.Key == key })
		if i < 0 {
			panic("render: no reference " + key)
		}
		list = append(list, references[i])
	}
	return list
}

// citedIn returns the works that texts cite, each once, by the alphabet.
func citedIn(texts []string) []Reference {
	named := map[string]bool{}
	for _, text := range texts {
		for _, mark := range citation.FindAllString(text, -1) {
			for _, r := range behind(mark) {
				named[r.Key] = true
			}
		}
	}
	var out []Reference
	for _, r := range references {
		if named[r.Key] {
			out = append(out, r)
		}
	}
	return out
}
