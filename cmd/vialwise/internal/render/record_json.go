package render

import "vialwise/bioassay/registry"

type recordJSON struct {
	Software  softwareJSON   `json:"software"`
	Registry  string         `json:"registry"`
	Events    []eventJSON    `json:"events"`
	Changes   []changeJSON   `json:"changes"`
	Decisions []decisionJSON `json:"decisions"`
	Baselines []definedJSON  `json:"baselines"`
	Versions  []versionJSON  `json:"versions"`
}

type eventJSON struct {
	Event  int64           `json:"event"`
	At     string          `json:"at"`
	Who    string          `json:"who"`
	Action registry.Action `json:"action"`
	Reason string          `json:"reason"`
	File   *sourceJSON     `json:"file"`
	Hash   string          `json:"hash"`
}

type sourceJSON struct {
	Name   string `json:"name"`
	SHA256 string `json:"sha256"`
	Bytes  int64  `json:"bytes"`
}

type changeJSON struct {
	Kind      registry.Subject `json:"kind"`
	Name      string           `json:"name"`
	Container string           `json:"container"`
	Column    string           `json:"column"`
	Before    string           `json:"before"`
	After     string           `json:"after"`
}

type decisionJSON struct {
	Event   int64            `json:"event"`
	Assay   string           `json:"assay"`
	Code    string           `json:"code"`
	Verdict registry.Verdict `json:"verdict"`
	By      string           `json:"by"`
	At      string           `json:"at"`
	Why     string           `json:"why"`
}

type definedJSON struct {
	Baseline string   `json:"baseline"`
	Version  int      `json:"version"`
	Assays   []string `json:"assays"`
	Outdated []string `json:"outdated"`
	Event    int64    `json:"event"`
	At       string   `json:"at"`
	Who      string   `json:"who"`
	Note     string   `json:"note"`
}

type versionJSON struct {
	Assay       string              `json:"assay"`
	Version     int                 `json:"version"`
	Event       int64               `json:"event"`
	At          string              `json:"at"`
	Who         string              `json:"who"`
	Reason      string              `json:"reason"`
	File        string              `json:"file"`
	Apiary      string              `json:"apiary"`
	Population  string              `json:"population"`
	Role        string              `json:"role"`
	CollectedOn string              `json:"collected_on"`
	TestedOn    string              `json:"tested_on"`
	Acaricide   string              `json:"acaricide"`
	Protocol    string              `json:"protocol"`
	Unit        string              `json:"unit"`
	Containers  []keptContainerJSON `json:"containers"`
}

type keptContainerJSON struct {
	Line          int    `json:"line"`
	Container     string `json:"container"`
	Concentration number `json:"concentration"`
	Exposed       int    `json:"exposed"`
	Dead          int    `json:"dead"`
	Moribund      int    `json:"moribund"`
	Missing       int    `json:"missing"`
	Note          string `json:"note"`
}

func newRecordJSON(r *Record) recordJSON {
	out := recordJSON{
		Software: softwareJSON{"vialwise", r.Version}, Registry: r.Registry,
		Events: []eventJSON{}, Changes: []changeJSON{}, Decisions: []decisionJSON{}, Baselines: []definedJSON{}, Versions: []versionJSON{},
	}
	for _, e := range r.Events {
		out.Events = append(out.Events, newEventJSON(e))
	}
	for _, c := range r.Changes {
		out.Changes = append(out.Changes, changeJSON{c.Kind, c.Name, c.Container, c.Field, c.Before, c.After})
	}
	for _, d := range r.Decisions {
		out.Decisions = append(out.Decisions, decisionJSON{d.Event, d.Assay, string(d.Code), d.Verdict, d.By, d.At, d.Why})
	}
	for _, b := range r.Baselines {
		out.Baselines = append(out.Baselines, definedJSON{b.Name, b.Version, b.Assays, append([]string{}, b.Outdated...), b.Event, b.CreatedAt, b.CreatedBy, b.Note})
	}
	for _, v := range r.Versions {
		out.Versions = append(out.Versions, newVersionJSON(v))
	}
	return out
}

func newEventJSON(e registry.Event) eventJSON {
	out := eventJSON{Event: e.ID, At: e.At, Who: e.Who, Action: e.Action, Reason: e.Reason, Hash: e.Hash}
	if s := e.Source; s.Name != "" {
		out.File = &sourceJSON{s.Name, s.SHA256, s.Bytes}
	}
	return out
}

func newVersionJSON(v RecordedVersion) versionJSON {
	out := versionJSON{
		Assay: v.Name, Version: v.Number, Event: v.Event, At: v.By.At, Who: v.By.Who, Reason: v.By.Reason, File: v.By.Source.Name,
		Apiary: v.Apiary, Population: v.Population, Role: v.Role.String(), CollectedOn: v.CollectedOn.String(), TestedOn: v.TestedOn.String(),
		Acaricide: v.Acaricide, Protocol: v.Protocol, Unit: v.Unit, Containers: []keptContainerJSON{},
	}
	for _, c := range v.Containers {
		out.Containers = append(out.Containers, keptContainerJSON{c.Source.Line, c.Label, number(c.Concentration), c.Exposed, c.Dead, c.Moribund, c.Missing, c.Note})
	}
	return out
}
