// Package kb holds the knowledge base and the jobs of a heating service shop.
//
// A [Base] is what people author: families of equipment, components, causes,
// symptoms, checks, fixes, parts, states, holds and synonyms, read from YAML
// files by [Load] and examined by [Base.Lint]. Every mistake is reported with
// its file, line and column and with what to write instead.
//
// A [Model] is the same knowledge for one family as plain numbers, rows of
// outcome probabilities written out in full; package ranker computes with it
// and package learn moves it by what closed jobs showed.
//
// A [Job] is one service call: what was found, tried and closed, in order.
//
// The package is pure: it reads an fs.FS and keeps no files, clock or network.
package kb
