package main

import (
	"bytes"
	"fmt"
	"io"
	"strings"

	"github.com/spf13/cobra"

	"vialwise/cmd/vialwise/internal/figures"
	"vialwise/cmd/vialwise/internal/render"
	"vialwise/plots"
)

func newTrack() *cobra.Command {
	var flags trackFlags
	output := outputFlags{formats: resultFormats()}
	var folder string
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
  vialwise track --format html --out programme.html
  vialwise track --figures timelines --quiet --out seasons.txt`,
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
			if folder != "" {
				made, err := timelines(answer.Tracks)
				if err != nil {
					return err
				}
				if err := writeArtefacts(folder, made); err != nil {
					return err
				}
			}
			return output.deliver(cmd.OutOrStdout(), func(w io.Writer) error {
				return writeTracks(w, answer.Tracks, output.format, "")
			})
		},
	}
	cmd.Flags().StringVar(&folder, "figures", "", "folder for the timelines of regions and apiaries, as SVG and PDF for print")
	flags.register(cmd.Flags())
	output.register(cmd)
	return cmd
}

// timelines draws the regions and the apiaries of every acaricide over the seasons.
func timelines(t *render.Tracks) (made []artefact, err error) {
	var names []string
	var sets []plots.TimelineSet
	for _, set := range figures.Regions(t, "") {
		names, sets = append(names, strings.ReplaceAll(set.Title, ",", "")), append(sets, set)
	}
	for _, set := range figures.Apiaries(t, "") {
		names, sets = append(names, "Apiaries "+set.Title), append(sets, set)
	}
	for i, file := range fileNames(names) {
		file = strings.ToLower(file)
		for _, format := range []plots.Format{plots.SVG, plots.PDF} {
			var b bytes.Buffer
			if err := plots.Write(&b, sets[i], format); err != nil {
				return nil, fmt.Errorf("the figure %s: %w", names[i], err)
			}
			made = append(made, artefact{file + "." + strings.ToLower(format.String()), b.Bytes()})
		}
	}
	return made, nil
}
