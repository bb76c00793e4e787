// Package labor reckons what making a mold by a method takes in hours, days and
// risk, and what castings of it take.
//
// A [Work] says what is made; [Reckon] answers with minutes task by task, days,
// risk, seam and life. A [Job] adds rubber, shell, prices and castings to that;
// [Price] answers with what the whole job costs, for weighing methods against
// each other.
//
// What is guaranteed:
//
//   - Every function is a pure function of plain values: no mesh, no file, no
//     clock, and the same input gives the same answer to the bit.
//   - The minutes are those of one mold by one pair of hands; waiting for rubber
//     or castings to cure is in the days and never in the minutes.
//   - More work never takes less: no minute, day or level of risk falls when a
//     part, a coat, a piece of shell or a larger pattern is added.
//   - Where a shop's own hours are given for a step they stand as given, for every
//     task of that step, whatever the method; nothing is multiplied into them but
//     the number of pours.
//   - Nothing that is asked for makes it fail: what makes no sense (a size that is
//     no number, no pieces) is taken as the least or the usual, as each field says.
//
// What it cannot promise: minutes, shares of value at risk and factors of life are
// this program's judgement, good to a factor of two between one pair of hands and
// another. They serve to compare methods; a shop that knows its hours says so.
package labor
