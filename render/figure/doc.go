// Package figure writes numbers and quantities as a mold maker reads them:
// rounded to what their bounds allow, in metric, US units or both. A number is
// formatted for the sheet, the page, the paper and the picture here alone.
package figure
