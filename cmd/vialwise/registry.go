package main

import (
	"errors"
	"fmt"
	"os"
	"os/user"
	"path/filepath"

	"github.com/spf13/pflag"

	"vialwise/bioassay/registry"
)

// defaultRegistry is the registry of a folder.
const defaultRegistry = "vialwise.sqlite"

// registryVariable names the registry where the command line does not.
const registryVariable = "VIALWISE_REGISTRY"

// registryFlags choose a registry.
type registryFlags struct{ path string }

func (f *registryFlags) register(flags *pflag.FlagSet) {
	flags.StringVar(&f.path, "registry", "", "registry file (default: that of the environment variable "+registryVariable+", else "+defaultRegistry+" in the working folder)")
}

// file is the path of the registry.
func (f *registryFlags) file() string {
	if f.path != "" {
		return f.path
	}
	if path := os.Getenv(registryVariable); path != "" {
		return path
	}
	return defaultRegistry
}

// name is the path as it is shown.
func (f *registryFlags) name() string { return filepath.ToSlash(shown(f.file())) }

// open opens the registry, which must be there.
func (f *registryFlags) open(o registry.Options) (*registry.Registry, error) {
	o.MustExist = true
	r, err := registry.Open(f.file(), o)
	if errors.Is(err, registry.Absent) {
		return nil, fmt.Errorf("there is no registry %s; name one with --registry, or make it with: vialwise import counts.csv", f.name())
	}
	return r, err
}

// accountName is the name of the account that runs the program, blank where the
// system does not tell.
func accountName() string {
	if u, err := user.Current(); err == nil {
		return u.Username
	}
	return ""
}
