package tables

// Options are what a reader may be told beside the table.
type Options struct {
	// Progress, if not nil, is called now and then with the bytes of the file
	// that were read and the size of the file. It is called from the goroutine
	// that reads.
	Progress func(read, total int64)
}
