package corpus

import "strings"

func repeat(s string, n int) string { return strings.Repeat(s, n) }

// words are texts with odd dates, names, roles and answers.
func words() []File {
	date := func(name, day string) File { return with("date-"+name, "collected_on", "A,1,9,2,"+day+"\n") }
	return []File{
		date("iso", "2031-04-09"),
		date("year-first", "2031/4/9"),
		date("year-first-points", "2031.04.09"),
		date("either", "04/09/2031"),
		date("either-points", "9.4.2031"),
		date("day-first", "25/04/2031"),
		date("month-first", "4/25/2031"),
		date("two-digit-year", "25.04.31"),
		date("no-such-day", "2031-02-29"),
		date("year-first-no-such-day", "2031/02/30"),
		date("no-marks", "20310409"),
		date("serial", "45123"),
		date("with-time", "2031-04-09T10:00"),
		date("season", "spring 2031"),
		date("month-name", "9 April 2031"),
		date("week", "2031-W15"),
		date("long-ago", "0206-05-01"),
		date("sheet-error", "#N/A"),
		with("role-control", "role", "A,0,9,2,control\n"),
		with("role-spanish", "role", "A,0,9,2,línea base\n"),
		with("role-capitals", "role", "A,0,9,2,BASELINE\n"),
		with("answer-maybe", "tested_blind", "A,0,9,2,maybe\n"),
		with("answer-spanish", "tested_blind", "A,0,9,2,Sí\n"),
		with("answer-x", "tested_blind", "A,0,9,2,x\n"),
		with("hours-with-unit", "exposure_h", "A,0,9,2,24h\n"),
		with("hours-negative", "exposure_h", "A,0,9,2,-24\n"),
		with("hours-of-years", "exposure_h", "A,0,9,2,999999\n"),
		rows("no-name", ",1,9,2\n"),
		rows("name-error", "#REF!,1,9,2\n"),
		with("conflict", "apiary", "A,1,9,2,N7\nB,1,9,2,N8\nA,2,9,5,N8\n"),
		with("conflict-dates", "tested_on", "A,1,9,2,2031-04-09\nA,2,9,5,2031/4/10\n"),
		with("agreeing-dates", "tested_on", "A,1,9,2,2031-04-09\nA,2,9,5,2031/4/9\n"),
		with("same-container", "container", "A,1,9,2,v1\nA,1,9,2,v1\n"),
		with("protected-formula", "note", "A,1,9,2,'=1+1\n"),
		with("bare-formula", "note", "A,1,9,2,=1+1\n"),
		with("apostrophes", "note", "A,1,9,2,''tis\nA,1,9,2,'tis\n"),
		with("formula-error-note", "note", "A,1,9,2,#NAME?\n"),
		text("tested-before-collected.csv", "assay,concentration,exposed,dead,collected_on,tested_on\nA,1,9,2,2031-04-09,2031-04-08\n"),
	}
}
