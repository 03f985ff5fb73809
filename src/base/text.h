/*
 * text.h - exact scanners for numbers, days and moments. Never locale-dependent, never rounding twice.
 */
#ifndef MILRISE_BASE_TEXT_H
#define MILRISE_BASE_TEXT_H

#include "milrise/units.h"

/** mr_is_digit - an ASCII digit, whatever the locale. */
static inline bool mr_is_digit(char c) {
    return c >= '0' && c <= '9';
}

/** mr_scan_decimal - a plain decimal [+-]digits[.digits][e[+-]digits] that fills text exactly; the decimal mark is
 * the one given. Correctly rounded (at most 15 digits and 10^22: one exact division or product; else strtod in the C
 * locale by g_ascii_strtod). Returns true and *out, or false. No blanks, no thousands marks, no inf or nan. */
bool mr_scan_decimal(const char *text, size_t n, char decimal_mark, double *out);

/** mr_number_shortest - the shortest of 15, 16 or 17 significant digits that reads back as the same number; value is
 * finite. */
void mr_number_shortest(double value, char out[32]);

/** mr_days_from_civil - days from 1970-01-01 of a proleptic Gregorian date (years 1 to 9999). No checking. */
int64_t mr_days_from_civil(int year, int month, int day);
void mr_civil_from_days(int64_t days, int *out_year, int *out_month, int *out_day);

/** mr_date_text - the day of a moment, "2026-05-11". */
enum { MR_DATE_TEXT = 32 };
void mr_date_text(int64_t local_ms, char out[MR_DATE_TEXT]);

/** mr_days_in_month - 28 to 31; 0 where month is not 1..12. */
int mr_days_in_month(int year, int month);

/** mr_duration_text - "90 s", "16.5 min", "16 h"; "?" for NaN. */
enum { MR_DURATION_TEXT = 32 };
void mr_duration_text(double ms, char out[MR_DURATION_TEXT]);

/** mr_scan_iso_local - "YYYY-MM-DD", "YYYY-MM-DD HH:MM[:SS[.fff]]" (blank or T between) that fills text; local ms.
 * For job files and rule sets; exports have their own reader in normalise. */
bool mr_scan_iso_local(const char *text, size_t n, int64_t *out_local_ms);

/** mr_scan_quantity - a number and a unit of dimension dim: "5 mil", "-3.5 °C", "12,000 ft2" is refused, "85 %",
 * "1:30 h" is refused. A missing unit is allowed only for dimension NONE (unit_out MR_UNIT_NONE). Returns: NULL, or
 * what is wrong as a clause. */
const char *mr_scan_quantity(const char *text, size_t n, enum mr_unit *unit_out, int dim, double *written_out);

/** mr_text_equal_fold - equal but for ASCII case. */
bool mr_text_equal_fold(const char *a, size_t a_n, const char *b, size_t b_n);

/** mr_word_among - whether n bytes are one of a list's words, letter for letter. */
bool mr_word_among(const char *word, size_t n, const char *const *list, size_t count);

/** mr_day_is_over - whether a local moment lies after a day that counts to its end; false where either is MR_T_NONE.
 */
bool mr_day_is_over(int64_t day_local_ms, int64_t t_local_ms);

/** mr_hash - FNV-1a, 64 bits, over n bytes, going on from h; MR_HASH_SEED begins. (G. Fowler, L. C. Noll, K.-P. Vo)
 */
#define MR_HASH_SEED UINT64_C(14695981039346656037)
static inline uint64_t mr_hash(uint64_t h, const void *data, size_t n) {
    const unsigned char *p = data;
    for (size_t i = 0; i < n; i++)
        h = (h ^ p[i]) * UINT64_C(1099511628211);
    return h;
}

/** mr_glob - shell pattern over '/'-paths: * within a part, ** over parts, ? one character; ASCII case folded. */
bool mr_glob(const char *pattern, const char *path);

#endif
