package tables

import (
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"time"

	"vialwise/bioassay"
)

// spreadsheetErrors are what spreadsheets show instead of a value they cannot
// compute. A cell of # signs is a column too narrow for its number.
var spreadsheetErrors = []string{"#REF!", "#N/A", "#DIV/0!", "#VALUE!", "#NAME?", "#NULL!", "#NUM!", "#SPILL!", "#CALC!", "#BUSY!", "#ERROR!"}

func isSpreadsheetError(s string) bool {
	if s == "" || s[0] != '#' {
		return false
	}
	if len(s) >= 3 && strings.Trim(s, "#") == "" {
		return true
	}
	for _, e := range spreadsheetErrors {
		if strings.EqualFold(s, e) {
			return true
		}
	}
	return false
}

func spreadsheetFault() *fault {
	return &fault{SpreadsheetError, "the spreadsheet wrote an error instead of a value",
		"repair the cell in the spreadsheet, widen its column, and export again"}
}

// parseText accepts any text but a spreadsheet's error.
func parseText(s string) (string, *fault) {
	if isSpreadsheetError(s) {
		return "", spreadsheetFault()
	}
	return s, nil
}

// parseRole reads field or baseline.
func parseRole(s string) (bioassay.Role, *fault) {
	if isSpreadsheetError(s) {
		return 0, spreadsheetFault()
	}
	role, err := bioassay.ParseRole(strings.ToLower(s))
	if err != nil {
		return 0, &fault{BadRole, "the role is neither field nor baseline", "enter field, enter baseline for susceptible mites, or leave the cell empty for field; controls are marked by concentration 0"}
	}
	return role, nil
}

// parseAnswer reads a yes or a no, in the words and cases that the schema lists.
func parseAnswer(s string) (bioassay.Answer, *fault) {
	switch s {
	case "yes", "Yes", "YES", "true", "True", "TRUE", "1":
		return bioassay.Yes, nil
	case "no", "No", "NO", "false", "False", "FALSE", "0":
		return bioassay.No, nil
	}
	if isSpreadsheetError(s) {
		return 0, spreadsheetFault()
	}
	return 0, &fault{BadBoolean, "this is neither a yes nor a no", "enter yes or no, or leave the cell empty"}
}

const firstYear = 1900 // no earlier date can be that of an assay

// parseDate reads an ISO 8601 date.
func parseDate(s string) (bioassay.Date, *fault) {
	if d, err := bioassay.ParseDate(s); err == nil && d.Year >= firstYear {
		return d, nil
	} else if err == nil {
		return d, &fault{BadDate, fmt.Sprintf("the year is before %d", firstYear), "correct the year"}
	}
	if isSpreadsheetError(s) {
		return bioassay.Date{}, spreadsheetFault()
	}
	return bioassay.Date{}, badDate(s)
}

// badDate says what a date that is not ISO 8601 may have been.
func badDate(s string) *fault {
	if len(s) == 5 && digitsOnly(s) {
		// Day 0 of the usual count of spreadsheets is the last but one of 1899.
		// Its day 60 never existed, which matters only before March 1900.
		days, _ := strconv.Atoi(s)
		day := bioassay.DateOf(time.Date(1899, 12, 30+days, 0, 0, 0, 0, time.UTC))
		return &fault{BadDate, fmt.Sprintf("this is the serial number of a spreadsheet for a day, probably %v", day),
			"format the column as text and enter the date as year-month-day"}
	}
	switch both := dayAndMonth.FindStringSubmatch(s); {
	case isoShape.MatchString(s):
		return &fault{BadDate, "there is no such day in the calendar", "correct the day or the month"}
	case both != nil && both[1] != both[2] && atMost12(both[1]) && atMost12(both[2]):
		return &fault{BadDate, "the date can be read with the day or with the month first", writeISO}
	case isoStart.MatchString(s):
		return &fault{BadDate, "the cell holds more than a date", "leave only " + s[:len("2031-04-09")]}
	}
	return &fault{BadDate, "the date is not written as year-month-day with two digits for month and day", writeISO}
}

const writeISO = "write it as year-month-day, such as 2031-04-09"

var (
	isoShape    = regexp.MustCompile(`^[0-9]{4}-[0-9]{2}-[0-9]{2}$`)
	isoStart    = regexp.MustCompile(`^[0-9]{4}-[0-9]{2}-[0-9]{2}[T ]`)
	dayAndMonth = regexp.MustCompile(`^([0-9]{1,2})[-/. ]([0-9]{1,2})[-/. ]([0-9]{2}|[0-9]{4})$`)
)

func atMost12(s string) bool {
	n, err := strconv.Atoi(s)
	return err == nil && n >= 1 && n <= 12
}
