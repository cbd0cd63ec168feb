package corpus

import "strings"

// headers are texts whose first filled row is odd.
func headers() []File {
	return []File{
		text("no-header.csv", "A,1,9,2\nA,2,9,5\n"),
		text("title-above.csv", "Counts of spring\n"+least+"A,1,9,2\n"),
		text("no-assay.csv", "concentration,exposed,dead\n1,9,2\n"),
		text("no-dead.csv", "assay,concentration,exposed,alive\nA,1,9,2\n"),
		text("doubtful-n.csv", "assay,concentration,n,dead\nA,1,9,2\n"),
		text("doubtful-total.csv", "assay,dose,total,kill\nA,1,9,2\n"),
		text("misspelt.csv", "assay,concentraton,exposed,daed\nA,1,9,2\n"),
		text("doubled.csv", "assay,concentration,exposed,dead,dead\nA,1,9,2,2\n"),
		text("doubled-in-capitals.csv", "assay,concentration,exposed,dead,DEAD\nA,1,9,2,2\n"),
		text("doubled-by-alias.csv", "assay,concentration,dosis,exposed,dead\nA,1,1,9,2\n"),
		text("doubled-unknown.csv", least[:len(least)-1]+",shelf,Shelf\nA,1,9,2,,\n"),
		text("unnamed.csv", "assay,,concentration,exposed,dead\nA,x,1,9,2\n"),
		text("name-of-quotes.csv", "assay,\"\",concentration,exposed,dead\nA,,1,9,2\n"),
		text("open-quote-in-header.csv", "assay,\"concentration,exposed,dead\nA,1,9,2\n"),
		text("quote-in-header.csv", "assay,conc\"entration,exposed,dead\nA,1,9,2\n"),
		text("quoted-header.csv", "\"assay\";\"concentration\";\"exposed\";\"dead\"\n\"A\";\"0,5\";\"9\";\"2\"\n"),
		text("break-in-header.csv", "assay,\"concentration\n(ug/vial)\",exposed,dead\nA,x,9,2\n"),
		text("spanish.csv", "Ensayo;Colmenar;Población;Acaricida;Dosis;Expuestos;Muertos;Moribundos;Perdidos;Fecha de recolección;Fecha de prueba;Unidad;Protocolo;Frasco;Nota\n"+
			"A;N7;este;amitraz;0,5;9;2;1;0;2031-04-09;2031-04-10;ug/vial;v24;f1;bien\n"),
		text("spanish-without-accents.csv", "ENSAYO,CONCENTRACION,EXPUESTOS,MUERTOS,FECHA-DE-RECOLECCION\nA,1,9,2,2031-04-09\n"),
		text("spanish-decomposed.csv", "ensayo,concentracio\u0301n,expuestos,muertos\nA,1,9,2\n"),
		text("unit-in-header.csv", "assay,concentration (ug/vial),exposed,dead\nA,1,9,2\n"),
		text("unit-in-square-brackets.csv", "assay,dose [ug/vial],exposed,dead\nA,1,9,2\n"),
		text("unit-twice.csv", "assay,concentration (ug/vial),unit,exposed,dead\nA,1,mg/L,9,2\n"),
		text("unit-in-exposed.csv", "assay,concentration,exposed (n),dead\nA,1,9,2\n"),
		text("hours-in-brackets.csv", least[:len(least)-1]+",exposure (h),reading (minutes)\nA,1,9,2,24,60\n"),
		text("sep-line.csv", "sep=;\nassay;concentration;exposed;dead\nA;0,5;9;x\n"),
		text("sep-line-wrong.csv", "sep=,\nassay;concentration;exposed;dead\nA;0,5;9;2\n"),
		text("comma-in-semicolon-header.csv", "assay;\"concentration\";exposed;dead;note, by hand, of the reader, if any, please\nA;0,5;9;2;\n"),
		text("tabs.tsv", "assay\tconcentration\texposed\tdead\nA\t0,5\t9\t2\nA\t\t9\t2\n"),
		text("tabs-with-points.tsv", "assay\tconcentration\texposed\tdead\nA\t0.5\t9\t2\n"),
		text("semicolons-in-rows.csv", least+"A;1;9;2\n"),
		text("commas-in-rows.csv", strings.ReplaceAll(least, ",", ";")+"A,1,9,2\n"),
		text("formula-name.csv", least[:len(least)-1]+",=cmd()\nA,1,9,2,x\n"),
		text("terminal-name.csv", least[:len(least)-1]+",\u009b31m\nA,1,9,2,x\n"),
		text("long-name.csv", least[:len(least)-1]+","+strings.Repeat("x", 5000)+"\nA,1,9,2,x\n"),
	}
}
