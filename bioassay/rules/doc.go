// Package rules reads programme files: the protocols, rule sets and recorded
// decisions of a testing programme, written in TOML.
//
// Some protocols and rule sets are built in. A programme's file adds its own to
// them, or replaces one where it says so. A file is read as a whole or not at
// all, and everything in it is checked: an unknown key, a limit out of range, a
// band out of order or a rule set that does not exist is an error with its
// place, and all errors come at once.
package rules
