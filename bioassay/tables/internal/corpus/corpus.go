package corpus

import "slices"

// File is one file of the corpus.
type File struct {
	Name string
	Data []byte
}

// Files returns the whole corpus.
func Files() []File {
	return slices.Concat(shapes(), encodings(), headers(), numbers(), words(), books(), oddBooks(), archives())
}

// Quick returns the files that take no time to make, as fuzzing wants them.
func Quick() []File {
	return slices.Concat(encodings(), headers(), numbers(), words(), books())
}

// text is a file of text.
func text(name, data string) File { return File{name, []byte(data)} }

// least is the smallest header.
const least = "assay,concentration,exposed,dead\n"

// rows is the smallest header with rows below it.
func rows(name, data string) File { return text(name+".csv", least+data) }

// semi is the same with semicolons.
func semi(name, data string) File {
	return text(name+".csv", "assay;concentration;exposed;dead\n"+data)
}

// with is the smallest header with one column more.
func with(name, column, data string) File {
	return text(name+".csv", "assay,concentration,exposed,dead,"+column+"\n"+data)
}
