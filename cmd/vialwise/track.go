package main

import (
	"io"

	"github.com/spf13/cobra"
)

func newTrack() *cobra.Command {
	var flags trackFlags
	output := outputFlags{formats: resultFormats()}
	cmd := &cobra.Command{
		Use:   "track [FILE…]",
		Short: "Follow populations over the seasons: ratios, trends, regions, who needs a test",
		Long: `Track reads the registry, or count tables where some are named, and follows each
apiary and acaricide season by season: LC50, the resistance ratio with limits,
the resistant fraction, the probability of each band, and the trend with its
limits. Fewer than four seasons are too few for a trend, and the table says so.

It sums up the apiaries of each region: their mean ratio, each apiary drawn
towards it, and the share above the bounds of the bands; and lists the apiaries
that need a test. A series is compared with one baseline throughout. A registry
gives the newest version of each baseline that was defined in it, or the one that
--baseline names as NAME or NAME@VERSION; where none was defined, the assays
whose role is baseline make one.

Results are kept in the registry beside the counts, so that the next run needs
only to compute what is new. They are found again for the same counts, options,
baselines and program only.`,
		Example: `  vialwise track
  vialwise track --registry programme.sqlite --acaricide amitraz --from 2031-spring
  vialwise track --baseline reference@2 --format xlsx --out seasons.xlsx
  vialwise track --apiaries apiaries.csv counts-2031.csv counts-2032.csv
  vialwise track --format html --out programme.html`,
		RunE: func(cmd *cobra.Command, files []string) error {
			if err := output.check(files...); err != nil {
				return err
			}
			answer, err := flags.run(cmd.Context(), cmd.InOrStdin(), files, cmd.Flags().Changed("moribund"), newProgress(cmd.ErrOrStderr(), output.quiet))
			if err != nil {
				return err
			}
			defer answer.close()
			if !output.quiet {
				remark(cmd.ErrOrStderr(), answer.Reading)
			}
			return output.deliver(cmd.OutOrStdout(), func(w io.Writer) error {
				return writeTracks(w, answer.Tracks, output.format, "")
			})
		},
	}
	flags.register(cmd.Flags())
	output.register(cmd)
	return cmd
}
