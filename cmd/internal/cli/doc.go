// Package cli is the command line of sootsayer: one file a command, named noun
// and verb. A command reads its flags, calls package shop and the packages
// below it, and prints; nothing is worked out here.
package cli
