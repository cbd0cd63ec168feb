// Package figures turns results into the figures of package plots.
package figures
