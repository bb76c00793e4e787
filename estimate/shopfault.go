package estimate

import "moldtally/estimate/conf"

// ShopError is a mistake in a shop file: its line, from 1, its key, such as
// rubber.sg, and what is wrong: a ShopFault, or what conf found.
type ShopError = conf.Mistake

// ShopFault is what is wrong with a value, a table or a key that is missing.
type ShopFault struct {
	Wrong ShopWrong
	// What the words rest on, where it applies: the value as the file has it or
	// the name, its bounds, what it may be, the line that had it first, the kit.
	Given     any
	Low, High float64
	Known     []string
	First     int
	Kit       int
}

// ShopWrong is one sort of mistake.
type ShopWrong int

// What can be wrong.
const (
	BeforeTables ShopWrong = iota // a key before the first table
	NoSuchTable
	NoSuchKey
	NoSuchCasting
	NoSuchRubber
	NoSuchBoard
	Unnamed // a table, Given, without a name
	SameName
	NoNumber
	NotBetween
	NeitherTrueNorFalse
	NoRatio
	NoPrice
	NoName
	NamedAuto
	Unquoted
	NoneOfThese // Known
	NoKits
	KitSize
	KitPrice
	KitMore // has more than size and price
	NoBore
	NoMix
	NoGravity
	TwoGravities
	TwoScales
	NoPartGravities
	NoDay
	NoSheet
	MarkupAndMargin
)
