package registry

import (
	"context"
	"database/sql"
	"fmt"

	"vialwise/bioassay"
)

// The warnings of an import.
const (
	AlikeName   bioassay.WarningCode = "alike-name"   // a new name nearly equals another
	AlikeApiary bioassay.WarningCode = "alike-apiary" // so does the code of an apiary
	SameCounts  bioassay.WarningCode = "same-counts"  // a new assay has all the counts of another
)

// maxAlike is how many warnings of a kind an import gives.
const maxAlike = 50

// alikes finds names that probably stand for one thing, by a key that two such
// names have in common.
type alikes struct {
	code  bioassay.WarningCode
	text  string // of the message, with the new name and the other
	cure  string
	exact map[string]bool
	known map[string]string // the first name by key
	found []bioassay.Warning
	more  int
}

// watch starts with the names and keys that are registered.
func (a alikes) watch(ctx context.Context, db querier, key func(name, hash string) string, query string) (*alikes, error) {
	pairs, err := collect(ctx, db, func(rows *sql.Rows) (pair [2]string, err error) {
		err = rows.Scan(&pair[0], &pair[1])
		return pair, err
	}, query)
	if err != nil {
		return nil, err
	}
	a.exact, a.known = make(map[string]bool, len(pairs)), make(map[string]string, len(pairs))
	for _, p := range pairs {
		a.exact[p[0]] = true
		if k := key(p[0], p[1]); a.known[k] == "" {
			a.known[k] = p[0]
		}
	}
	return &a, nil
}

// add takes a name, and looks at its key when the name was not there before.
func (a *alikes) add(name, key string, at bioassay.Origin) {
	if name == "" || a.exact[name] {
		return
	}
	a.exact[name] = true
	other, known := a.known[key]
	switch {
	case !known:
		a.known[key] = name
	case len(a.found) == maxAlike:
		a.more++
	default:
		a.found = append(a.found, bioassay.Warning{Code: a.code, Origin: at, Message: fmt.Sprintf(a.text, name, other), Cure: a.cure})
	}
}

func (a *alikes) warnings() []bioassay.Warning {
	if a.more > 0 {
		a.found = append(a.found, bioassay.Warning{Code: a.code, Message: fmt.Sprintf("%d more like these", a.more), Cure: "look for a common cause"})
	}
	return a.found
}

const (
	knownAssays = `SELECT name, content_hash FROM assays a JOIN assay_revisions v USING (assay_id)
  WHERE number = (SELECT max(number) FROM assay_revisions w WHERE w.assay_id = v.assay_id) ORDER BY assay_id`
	knownApiaries = "SELECT code, '' FROM apiaries UNION SELECT apiary, '' FROM assay_revisions WHERE apiary <> '' ORDER BY 1"
	alikeCure     = "if the two are one, write both alike and import the file again"
)

// remark warns of new names that are like others, and of new assays that may
// be registered under another name.
func (in *incoming[T]) remark(ctx context.Context, db querier) error {
	if in.result.New+in.result.Changed == 0 {
		return nil
	}
	if in.shelf.subject == OfAssay {
		if err := in.remarkAssays(ctx, db); err != nil {
			return err
		}
	}
	apiaries, err := alikes{code: AlikeApiary, cure: alikeCure, text: "apiary %q differs from %q only in case, spaces or forms of letters"}.
		watch(ctx, db, byName, knownApiaries)
	if err != nil {
		return err
	}
	in.each(func(object *T, _ standing) {
		code := clean(in.shelf.apiary(object))
		apiaries.add(code, fold(code), in.shelf.origin(object))
	})
	in.result.Warnings = append(in.result.Warnings, apiaries.warnings()...)
	return nil
}

func (in *incoming[T]) remarkAssays(ctx context.Context, db querier) error {
	names, err := alikes{code: AlikeName, cure: alikeCure, text: "assay %q differs from %q only in case, spaces or forms of letters"}.
		watch(ctx, db, byName, knownAssays)
	if err != nil {
		return err
	}
	counts, err := alikes{code: SameCounts, cure: "if the two are one assay, take it out of the file and import that again",
		text: "assay %q has the counts, days and apiary of %q, one by one"}.watch(ctx, db, byCounts, knownAssays)
	if err != nil {
		return err
	}
	in.each(func(object *T, at standing) {
		name, origin := clean(in.shelf.name(object)), in.shelf.origin(object)
		names.add(name, fold(name), origin)
		counts.add(name, at.hashes.content, origin)
	})
	in.result.Warnings = append(counts.warnings(), names.warnings()...)
	return nil
}

// The keys by which names stand for one thing.
func byName(name, _ string) string   { return fold(name) }
func byCounts(_, hash string) string { return hash }

// each calls use for every object that is new or changed.
func (in *incoming[T]) each(use func(object *T, at standing)) {
	for i, at := range in.standing {
		if !at.same {
			use(&in.objects[i], at)
		}
	}
}
