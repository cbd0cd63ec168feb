package registry

import "cmp"

// tableDescriptions say in an export what a table holds.
var tableDescriptions = map[string]string{
	"apiaries":         "Apiaries by code.",
	"apiary_revisions": "What is known of each apiary, one row for each version.",
	"assay_revisions":  "What all containers of an assay share, one row for each version.",
	"assays":           "Assays by name.",
	"baseline_assays":  "The versions of assays that make a baseline.",
	"baselines":        "Versions of named baselines of susceptible mites.",
	"changes":          "What amendments changed, field by field.",
	"containers":       "Counts as entered, one row for each container of each version of an assay.",
	"decisions":        "Named decisions about findings on assays; of one assay and code the latest holds.",
	"events":           "The history, one row for each change of the registry, chained by hashes.",
	"sources":          "The files that were imported.",
}

// columnDescriptions say what a column holds, by its name, or by table and
// name where tables differ.
var columnDescriptions = map[string]string{
	"acaricide":          "Common name of the active ingredient.",
	"action":             "What kind of change it was.",
	"after":              "Value as amended.",
	"apiary":             "Code of the apiary; its row may come later or never.",
	"apiary_id":          "Number of the apiary, given by the registry.",
	"assay_id":           "Number of the assay, given by the registry.",
	"at":                 "When, ISO 8601 in UTC.",
	"baseline_id":        "Number of the version of the baseline, given by the registry.",
	"before":             "Value before the amendment.",
	"bytes":              "Length of the file.",
	"capped_brood":       "Whether the colony had capped brood when sampled: yes, no or blank.",
	"code":               "Code of the apiary.",
	"collected_on":       "Day on which the mites were collected.",
	"concentration":      "Concentration in the unit of the assay, 0 for an untreated control.",
	"concentration_text": "Concentration as entered.",
	"contact_code":       "Code for the beekeeper, not a name.",
	"container":          "Label of the container.",
	"content_hash":       "SHA-256 of what the version says, whatever its name, spelling and order.",
	"dead":               "Mites found dead.",
	"decided_by":         "Person who answers for the decision.",
	"decision_id":        "Number of the decision, given by the registry.",
	"digest":             "SHA-256 of the rows that came with the event.",
	"event_id":           "Number of the event that brought the row.",
	"exposed":            "Mites put in.",
	"exposure_h":         "Hours of exposure.",
	"extra":              "Filled cells of unknown columns as pairs of name and value, JSON.",
	"field":              "Name of the column that was amended.",
	"format":             "Number of the set of columns that the digest covers.",
	"hash":               "SHA-256 of the event and, through the one before, of all before it.",
	"kind":               "assay or apiary.",
	"latitude":           "Degrees, north positive.",
	"line":               "Line of the file, 0 when unknown.",
	"longitude":          "Degrees, east positive.",
	"missing":            "Mites not found at the reading.",
	"mite_source":        "Where the mites came from.",
	"moribund":           "Mites neither dead nor walking, not counted as dead.",
	"name":               "Name of the assay.",
	"note":               "Remark.",
	"number":             "Number of the version, from 1.",
	"population":         "Name of the sampled mites within the apiary.",
	"position":           "Place in the order, from 1.",
	"previous":           "Hash of the event before, blank for the first.",
	"protocol":           "Name of the protocol.",
	"reading_h":          "Hours from the start to the reading.",
	"reason":             "Why.",
	"record_hash":        "SHA-256 of the rows as kept.",
	"region":             "Region of the apiary.",
	"revision_id":        "Number of the version, given by the registry.",
	"role":               "field or baseline.",
	"sha256":             "SHA-256 of the file.",
	"tested_blind":       "Whether the reader did not know the concentration: yes, no or blank.",
	"tested_on":          "Day on which the mites were put in.",
	"unit":               "Unit of the concentrations.",
	"verdict":            "keep, discard, or none for one that is taken back.",
	"version":            "Number of the version, from 1.",
	"who":                "Person who made the change.",
	"why":                "Reason of the decision.",

	"baselines.name":   "Name of the baseline.",
	"changes.name":     "Name of the assay, or code of the apiary.",
	"decisions.code":   "Code of the finding.",
	"sources.name":     "Name of the file.",
	"events.event_id":  "Number of the event, without gaps.",
	"sources.event_id": "Number of the event that imported the file.",
}

// describe returns the description of a column.
func describe(table, column string) string {
	return cmp.Or(columnDescriptions[table+"."+column], columnDescriptions[column])
}
