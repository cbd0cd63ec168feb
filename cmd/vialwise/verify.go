package main

import (
	"context"
	"errors"
	"fmt"
	"io"
	"regexp"
	"strings"

	"github.com/spf13/cobra"

	"vialwise/bioassay"
	"vialwise/cmd/vialwise/internal/render"
)

// wholeHash is a SHA-256 in hexadecimal.
var wholeHash = regexp.MustCompile("^[0-9a-f]{64}$")

func newVerify() *cobra.Command {
	var output outputFlags
	var flags registryFlags
	var head string
	cmd := &cobra.Command{
		Use:   "verify",
		Short: "Check that the registry is whole and its history unbroken",
		Long: `Verify checks the whole registry and changes nothing: that the file is intact,
that every reference leads somewhere, that tables and guards are those of the
program, that every row is the one that was hashed when it was written, and that
the history is one unbroken chain of hashes. The exit status is 1 when anything
is wrong.

It prints the hash of the newest event, which stands for the whole history. Note
it elsewhere, on paper or with another lab: whoever edits a file on a disk can
compute every hash in it anew, but not the one that you noted. With --head the
noted hash must be that of an event of this history, the newest or an earlier
one.`,
		Example: `  vialwise verify
  vialwise verify --registry programme.sqlite --format json
  vialwise verify --head 0123456789abcdef0123456789abcdef0123456789abcdef0123456789abcdef`,
		Args: noFiles("verify", "--registry PATH chooses another registry"),
		RunE: func(cmd *cobra.Command, _ []string) error {
			head = strings.ToLower(strings.TrimSpace(head))
			if err := errors.Join(output.check(), flags.spare(&output)); err != nil {
				return err
			}
			if cmd.Flags().Changed("head") && !wholeHash.MatchString(head) {
				return usageError{fmt.Errorf("head %q is not a hash of 64 hexadecimal digits, as verify prints it", head)}
			}
			answer, err := flags.verify(cmd.Context(), head, newProgress(cmd.ErrOrStderr(), output.quiet))
			if err != nil {
				return err
			}
			err = output.deliver(cmd.OutOrStdout(), func(w io.Writer) error { return render.WriteVerification(w, answer, output.format) })
			return errors.Join(err, verifyComplaint(answer))
		},
	}
	output.register(cmd)
	flags.register(cmd.Flags())
	cmd.Flags().StringVar(&head, "head", "", "hash of an event that was noted elsewhere, which the history must have")
	return cmd
}

// noFiles refuses arguments.
func noFiles(command, remedy string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) > 0 {
			return usageError{fmt.Errorf("%s takes no file; %s", command, remedy)}
		}
		return nil
	}
}

// verify verifies the registry, and looks for a noted hash in its history unless
// that is blank.
func (f *registryFlags) verify(ctx context.Context, head string, bar *progress) (*render.Verification, error) {
	r, err := f.read()
	if err != nil {
		return nil, err
	}
	defer r.Close()
	v, err := r.Verify(ctx, bar.counting("verifying"))
	bar.end()
	if err != nil {
		return nil, err
	}
	answer := &render.Verification{Version: version, Registry: f.name(), Noted: head, Verification: v}
	if head == "" {
		return answer, nil
	}
	events, err := r.History(ctx)
	for _, e := range events {
		if e.Hash == head {
			answer.NotedAt = e.ID
		}
	}
	return answer, err
}

// verifyComplaint is the error of a registry that is not sound.
func verifyComplaint(v *render.Verification) error {
	if v.Sound() {
		return nil
	}
	return fmt.Errorf("registry %q: %s; keep the file aside and go on from the newest backup or export that verifies", v.Registry, bioassay.Plural(len(v.Found()), "problem"))
}
