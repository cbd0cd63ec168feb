// Package corpus makes malformed and odd count tables by script, each time the
// same, for tests of the readers. All counts and names are invented.
package corpus
