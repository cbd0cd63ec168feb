package main

import (
	"errors"
	"io"
	"os"
	"path/filepath"

	"github.com/spf13/cobra"

	"vialwise/bioassay/registry"
	"vialwise/cmd/vialwise/internal/render"
)

// descriptor is the file that makes a folder an export.
const descriptor = "datapackage.json"

// exportedFolder returns the folder of an export, if one of the files is one or
// its descriptor.
func exportedFolder(files []string) (folder string, ok bool) {
	for _, file := range files {
		switch info, err := os.Stat(file); {
		case filepath.Base(file) == descriptor:
			return filepath.Dir(file), true
		case err == nil && info.IsDir():
			return file, true
		}
	}
	return "", false
}

// restore makes a registry from an export and says what it holds.
func (f *importFlags) restore(cmd *cobra.Command, folder string, files []string, who string, output *outputFlags, bar *progress) error {
	if len(files) > 1 || f.amend || f.dryRun || f.mapping != "" || f.apiaries != "" {
		return usageError{errors.New("an export is restored by itself, without other files, --amend, --dry-run, --mapping or --apiaries, as in: vialwise import --registry restored.sqlite " + shown(folder))}
	}
	if _, err := os.Stat(filepath.Join(folder, descriptor)); err != nil {
		return usageError{errors.New(shown(folder) + " is a folder without a " + descriptor + "; name the files in it, or a folder that vialwise export wrote")}
	}
	if err := registry.Restore(cmd.Context(), folder, f.registry.file(), registry.Options{Who: who}); err != nil {
		return err
	}
	answer, err := f.registry.verify(cmd.Context(), "", bar)
	if err != nil {
		return err
	}
	answer.From = filepath.ToSlash(shown(folder))
	err = output.deliver(cmd.OutOrStdout(), func(w io.Writer) error { return render.WriteVerification(w, answer, output.format) })
	return errors.Join(err, verifyComplaint(answer))
}
