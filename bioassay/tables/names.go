package tables

import (
	"slices"
	"strings"
	"unicode"

	"golang.org/x/text/runes"
	"golang.org/x/text/transform"
	"golang.org/x/text/unicode/norm"
)

// layout is what a kind of table consists of.
type layout struct {
	title, contents string // "count table", "counts"
	known, required []string
	aliases         map[string][]string // other names that can mean nothing else
	synonyms        map[string][]string // names that may mean a required column, or something else
	measured        string              // the column whose unit may stand in brackets behind its name
	wide            *wide               // how its columns are found instead, or nil
}

// countAliases are names of columns in English and Spanish (common practice),
// as keyOf writes them.
var countAliases = map[string][]string{
	"assay":         {"bioassay", "assay_name", "assay_id", "ensayo", "bioensayo", "nombre_del_ensayo"},
	"apiary":        {"colmenar", "apiario"},
	"population":    {"poblacion"},
	"role":          {"rol", "papel", "funcion"},
	"collected_on":  {"collection_date", "date_collected", "fecha_de_recoleccion", "fecha_recoleccion", "fecha_de_colecta", "fecha_colecta", "fecha_de_recogida", "fecha_recogida"},
	"tested_on":     {"test_date", "date_tested", "assay_date", "fecha_de_prueba", "fecha_prueba", "fecha_de_ensayo", "fecha_del_ensayo", "fecha_ensayo"},
	"acaricide":     {"active_ingredient", "acaricida", "ingrediente_activo", "principio_activo"},
	"protocol":      {"protocolo"},
	"unit":          {"units", "unidad", "unidades"},
	"container":     {"vial", "replica", "frasco", "recipiente", "envase"},
	"concentration": {"dose", "dosage", "conc", "concentracion", "dosis"},
	"exposed":       {"mites_exposed", "exposed_mites", "expuestos", "expuestas", "acaros_expuestos"},
	"dead":          {"killed", "died", "deaths", "dead_mites", "mites_dead", "muertos", "muertas", "acaros_muertos"},
	"moribund":      {"moribundos", "moribundas"},
	"missing":       {"lost", "not_found", "perdidos", "perdidas", "faltantes", "no_encontrados"},
	"exposure_h":    {"exposure_hours", "hours_of_exposure", "exposicion_h", "horas_de_exposicion"},
	"reading_h":     {"reading_hours", "lectura_h", "horas_de_lectura"},
	"mite_source":   {"source_of_mites", "origen_de_los_acaros", "origen_de_acaros", "procedencia_de_los_acaros"},
	"capped_brood":  {"sealed_brood", "cria_operculada", "cria_sellada"},
	"tested_blind":  {"blind", "blinded", "ciego", "a_ciegas", "prueba_ciega", "probado_a_ciegas"},
	"note":          {"notes", "remark", "remarks", "comment", "comments", "nota", "notas", "observacion", "observaciones", "comentario", "comentarios"},
}

// apiaryAliases are the same for the table of apiaries (common practice).
var apiaryAliases = map[string][]string{
	"apiary":       {"colmenar", "apiario"},
	"latitude":     {"lat", "latitud"},
	"longitude":    {"lon", "long", "longitud"},
	"contact_code": {"codigo_de_contacto"},
}

// hourNames are columns that are times in hours once their brackets say so.
var hourNames = map[string]string{"exposure": "exposure_h", "exposicion": "exposure_h", "tiempo_de_exposicion": "exposure_h",
	"exposure_time": "exposure_h", "reading": "reading_h", "lectura": "reading_h", "reading_time": "reading_h", "tiempo_de_lectura": "reading_h"}

var hourUnits = []string{"h", "hr", "hrs", "hour", "hours", "hora", "horas"}

// resolved is what a name in a header means.
type resolved struct {
	known int    // index of the known column, or -1
	alias bool   // it was named in other words
	unit  string // that stood in brackets behind the name
}

// resolve finds the known column of a name.
func (l layout) resolve(name string) resolved {
	if at, alias := l.lookUp(keyOf(name)); at >= 0 {
		return resolved{known: at, alias: alias}
	}
	base, unit := bracketed(name)
	if unit == "" {
		return resolved{known: -1}
	}
	key := keyOf(base)
	if full, ok := hourNames[key]; ok && slices.Contains(hourUnits, strings.ToLower(unit)) {
		return resolved{known: slices.Index(l.known, full), alias: true}
	}
	if at, alias := l.lookUp(key); at >= 0 && l.known[at] == l.measured {
		return resolved{known: at, alias: alias, unit: unit}
	}
	return resolved{known: -1}
}

// lookUp finds a key among the names of the known columns and their aliases.
func (l layout) lookUp(key string) (at int, alias bool) {
	if at := slices.Index(l.known, key); at >= 0 {
		return at, false
	}
	for i, name := range l.known {
		if slices.Contains(l.aliases[name], key) {
			return i, true
		}
	}
	return -1, false
}

// bracketed splits a name from the unit in brackets behind it.
func bracketed(name string) (base, unit string) {
	name = trim(name)
	for _, pair := range []string{"()", "[]"} {
		at := strings.IndexByte(name, pair[0])
		if at > 0 && strings.HasSuffix(name, pair[1:]) {
			return trim(name[:at]), trim(name[at+1 : len(name)-1])
		}
	}
	return name, ""
}

// keyOf is the form in which names are compared with the known ones: small
// letters without accents, with one low line for spaces, hyphens and low lines.
func keyOf(name string) string {
	name = strings.ToLower(unaccented(name))
	return strings.Join(strings.FieldsFunc(name, func(r rune) bool { return r == '_' || r == '-' || isBlank(r) }), "_")
}

// unaccented is a text without the accents of its letters.
func unaccented(s string) string {
	if isASCII([]byte(s)) {
		return s
	}
	plain, _, err := transform.String(transform.Chain(norm.NFD, runes.Remove(runes.In(unicode.Mn))), s)
	if err != nil {
		return s
	}
	return plain
}

// folded is the form in which other names are compared with each other.
func folded(name string) string { return strings.ToLower(name) }
