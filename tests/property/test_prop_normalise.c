/*
 * test_prop_normalise.c - the same series, written in every way, reads back as the same series.
 *
 * A seeded generator draws a small log or gauge file and writes it in each combination of encoding, delimiter,
 * decimal mark, date style and line end that can be told apart; what is read must equal what was drawn: same moments,
 * same values to the last bit (each value is a decimal of at most two places, so its double is the one the compiler
 * makes), same count of rows.
 */
#include "support/norm_rig.h"

#include "base/text.h"
#include "normalise/cell/when.h"

#include <criterion/criterion.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { ROWS_MOST = 24 };

struct drawn {
    size_t n;
    int64_t t_ms[ROWS_MOST];
    int a[ROWS_MOST], b[ROWS_MOST]; /* hundredths; INT32_MAX = missing */
};

static uint64_t next(uint64_t *state) { /* splitmix64 (Steele, Lea, Flood 2014) */
    uint64_t z = (*state += UINT64_C(0x9e3779b97f4a7c15));
    z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
    return z ^ (z >> 31);
}

static struct drawn draw(uint64_t *state) {
    struct drawn d = {.n = 4 + next(state) % (ROWS_MOST - 4)};
    int64_t t = mr_days_from_civil(2026, 1 + (int)(next(state) % 12), 13 + (int)(next(state) % 15)) * MR_DAY_MS;
    t += (int64_t)(next(state) % 86400) * 1000;
    for (size_t i = 0; i < d.n; i++, t += (int64_t)(1 + next(state) % 40000) * 1000) {
        d.t_ms[i] = t;
        d.a[i] = (int)(next(state) % 6000) - 1500;
        d.b[i] = i && next(state) % 8 == 0 ? INT32_MAX : (int)(next(state) % 10000);
    }
    return d;
}

enum style {
    ISO,
    ISO_T,
    SLASH_YMD,
    DOT_DMY,
    SLASH_MDY,
    SLASH_DMY,
    TWELVE_MDY,
    NAMED,
    NAMED_GERMAN,
    COMPACT,
    SHORT_DMY,
    TWO_COLUMNS,
    TWO_COLUMNS_DMY,
    EPOCH,
    ISO_Z,
    ISO_OFFSET,
    PARTS,
    YEARDAY,
    HEADER_OFFSET,
    STYLES
};

/* Headers of the time's columns, '|' for the delimiter; "Time" for the other styles. */
static const char *const time_header[STYLES] = {[TWO_COLUMNS] = "Date|Time",
                                                [TWO_COLUMNS_DMY] = "Date|Time",
                                                [PARTS] = "Year|Month|Day|Hour|Minute|Second",
                                                [YEARDAY] = "Year|Day of year|Time",
                                                [HEADER_OFFSET] = "Time GMT-05:00"};

static void put_header(char *out, size_t room, enum style style, char delimiter) {
    snprintf(out, room, "%s", time_header[style] ? time_header[style] : "Time");
    for (; *out; out++)
        if (*out == '|')
            *out = delimiter;
}

/* Dates of one cell in the order and spelling of their country. */
static void put_local(char *out, size_t room, enum style style, const int part[6]) {
    static const char *const english[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                          "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    static const char *const german[] = {"Jan", "Feb", "M\xc3\xa4r", "Apr", "Mai", "Jun",
                                         "Jul", "Aug", "Sep",        "Okt", "Nov", "Dez"};
    int y = part[0], m = part[1], d = part[2], h = part[3], mi = part[4], se = part[5];
    switch ((int)style) {
    case SLASH_YMD:
        snprintf(out, room, "%04d/%d/%d %d:%02d:%02d", y, m, d, h, mi, se);
        break;
    case DOT_DMY:
        snprintf(out, room, "%02d.%02d.%04d %02d:%02d:%02d", d, m, y, h, mi, se);
        break;
    case SLASH_MDY:
        snprintf(out, room, "%02d/%02d/%04d %02d:%02d:%02d", m, d, y, h, mi, se);
        break;
    case SLASH_DMY:
        snprintf(out, room, "%d/%d/%04d %02d:%02d:%02d", d, m, y, h, mi, se);
        break;
    case TWELVE_MDY:
        snprintf(out, room, "%d/%d/%04d %d:%02d:%02d %s", m, d, y, h % 12 ? h % 12 : 12, mi, se,
                 h < 12 ? "AM" : "PM");
        break;
    case NAMED:
        snprintf(out, room, "%02d-%s-%04d %02d:%02d:%02d", d, english[m - 1], y, h, mi, se);
        break;
    case NAMED_GERMAN:
        snprintf(out, room, "%d. %s %04d %02d:%02d:%02d", d, german[m - 1], y, h, mi, se);
        break;
    case SHORT_DMY:
        snprintf(out, room, "%02d.%02d.%02d %02d:%02d:%02d", d, m, y % 100, h, mi, se);
        break;
    default:
        break;
    }
}

static void put_when(char *out, size_t room, enum style style, int64_t t_ms, char delimiter) {
    int y, m, d;
    int64_t shown = t_ms + (style == ISO_OFFSET ? 2 : style == HEADER_OFFSET ? -5 : 0) * INT64_C(3600000);
    mr_civil_from_days(shown / MR_DAY_MS, &y, &m, &d);
    int s = (int)(shown % MR_DAY_MS / 1000), h = s / 3600, mi = s / 60 % 60, se = s % 60;
    switch (style) {
    case HEADER_OFFSET:
    case ISO:
        snprintf(out, room, "%04d-%02d-%02d %02d:%02d:%02d", y, m, d, h, mi, se);
        break;
    case ISO_T:
        snprintf(out, room, "%04d-%02d-%02dT%02d:%02d:%02d", y, m, d, h, mi, se);
        break;
    case COMPACT:
        snprintf(out, room, "%04d%02d%02dT%02d%02d%02d", y, m, d, h, mi, se);
        break;
    case TWO_COLUMNS:
        snprintf(out, room, "%04d-%02d-%02d%c%02d:%02d:%02d", y, m, d, delimiter, h, mi, se);
        break;
    case TWO_COLUMNS_DMY:
        snprintf(out, room, "%02d.%02d.%04d%c%02d:%02d:%02d", d, m, y, delimiter, h, mi, se);
        break;
    case EPOCH:
        snprintf(out, room, "%lld", (long long)(t_ms / 1000));
        break;
    case ISO_Z:
        snprintf(out, room, "%04d-%02d-%02dT%02d:%02d:%02dZ", y, m, d, h, mi, se);
        break;
    case ISO_OFFSET:
        snprintf(out, room, "%04d-%02d-%02dT%02d:%02d:%02d+02:00", y, m, d, h, mi, se);
        break;
    case PARTS:
        snprintf(out, room, "%d%c%02d%c%d%c%02d%c%d%c%02d", y, delimiter, m, delimiter, d, delimiter, h, delimiter,
                 mi, delimiter, se);
        break;
    case YEARDAY:
        snprintf(out, room, "%d%c%d%c%d:%02d:%02d", y, delimiter,
                 (int)(t_ms / MR_DAY_MS - mr_days_from_civil(y, 1, 1)) + 1, delimiter, h, mi, se);
        break;
    case SLASH_YMD:
    case DOT_DMY:
    case SLASH_MDY:
    case SLASH_DMY:
    case TWELVE_MDY:
    case NAMED:
    case NAMED_GERMAN:
    case SHORT_DMY:
        put_local(out, room, style, (const int[6]){y, m, d, h, mi, se});
        break;
    case STYLES:
        break;
    }
}

static void put_number(char *out, size_t room, int hundredths, char mark, bool quoted) {
    if (hundredths == INT32_MAX) {
        snprintf(out, room, "---");
        return;
    }
    int size = hundredths < 0 ? -hundredths : hundredths;
    const char *quote = quoted ? "\"" : "";
    snprintf(out, room, "%s%s%d%c%02d%s", quote, hundredths < 0 ? "-" : "", size / 100, mark, size % 100, quote);
}

struct shape {
    char delimiter, mark;
    enum style style;
    const char *line_end;
};

static char *write_log(struct mr_arena *arena, const struct drawn *d, const struct shape *s) {
    char *text = mr_alloc(arena, 8192, 1);
    size_t n = 0;
    bool quoted = s->mark == s->delimiter;
    char header[64];
    put_header(header, sizeof header, s->style, s->delimiter);
    n += (size_t)snprintf(text + n, 8192 - n, "%s", header);
    n += (size_t)snprintf(text + n, 8192 - n,
                          "%cAir [\xc2\xb0"
                          "C]%cRH [%%]%s",
                          s->delimiter, s->delimiter, s->line_end);
    for (size_t i = 0; i < d->n; i++) {
        char when[64], a[32], b[32];
        put_when(when, sizeof when, s->style, d->t_ms[i], s->delimiter);
        put_number(a, sizeof a, d->a[i], s->mark, quoted);
        put_number(b, sizeof b, d->b[i], s->mark, quoted);
        n +=
            (size_t)snprintf(text + n, 8192 - n, "%s%c%s%c%s%s", when, s->delimiter, a, s->delimiter, b, s->line_end);
    }
    return text;
}

/* UTF-8 text in another encoding; all characters of these texts lie below U+0100. */
static char *encode(struct mr_arena *arena, const char *text, int encoding, size_t *out_n) {
    size_t n = strlen(text), used = 0;
    char *out = mr_alloc(arena, 2 * n + 8, 1);
    static const char *const marks[] = {"", "\xef\xbb\xbf", "\xff\xfe", "\xfe\xff", "", "", ""};
    size_t mark_n = strlen(marks[encoding]);
    memcpy(out, marks[encoding], mark_n);
    used = mark_n;
    for (size_t i = 0; i < n; i++) {
        unsigned char c = (unsigned char)text[i];
        if (encoding <= 1) {
            out[used++] = text[i];
            continue;
        }
        if (c >= 0xc2)
            c = (unsigned char)(((c & 3U) << 6) | ((unsigned char)text[++i] & 0x3fU));
        if (encoding == 4) {
            out[used++] = (char)c;
        } else {
            bool big = encoding == 3 || encoding == 6;
            out[used++] = big ? 0 : (char)c;
            out[used++] = big ? (char)c : 0;
        }
    }
    *out_n = used;
    return out;
}

static const char *check(struct norm_rig *rig, const struct drawn *d, const struct shape *s) {
    const struct mr_channel *air = norm_channel(rig, 0, MR_M_AIR, 0), *rh = norm_channel(rig, 0, MR_M_RH, 0);
    bool utc = s->style == EPOCH || s->style == ISO_Z || s->style == ISO_OFFSET || s->style == HEADER_OFFSET;
    if (rig->status != MR_OK || !norm_identity(rig))
        return "the identity";
    if (!air || !rh || air->n != d->n)
        return "the number of rows";
    if ((rig->data->files.v[0].basis == MR_TIME_UTC) != utc)
        return "the basis of time";
    for (size_t i = 0; i < d->n; i++) {
        char digits[32];
        double a, b = 0;
        put_number(digits, sizeof digits, d->a[i], '.', false);
        cr_assert(mr_scan_decimal(digits, strlen(digits), '.', &a));
        bool missing = d->b[i] == INT32_MAX;
        put_number(digits, sizeof digits, d->b[i], '.', false);
        cr_assert(missing || mr_scan_decimal(digits, strlen(digits), '.', &b));
        if (mr_whole(&air->t_ms, i) != d->t_ms[i])
            return "a moment";
        if (mr_real(&air->value, i) != a || (missing ? !isnan(mr_real(&rh->value, i)) : mr_real(&rh->value, i) != b))
            return "a value";
        if (mr_whole(&air->line, i) != (int64_t)i + 2)
            return "a line number";
    }
    return NULL;
}

static void one(uint64_t seed, int encoding, const struct shape *s) {
    struct norm_rig rig;
    norm_begin(&rig);
    uint64_t state = seed;
    struct drawn d = draw(&state);
    size_t n;
    char *text = write_log(rig.arena, &d, s), *bytes = encode(rig.arena, text, encoding, &n);
    norm_add(&rig, "climate.csv", bytes, n);
    norm_run(&rig);
    const char *wrong = check(&rig, &d, s);
    cr_assert(!wrong, "seed %llu, encoding %d, delimiter %c, mark %c, style %d: %s\n%s\n%s", (unsigned long long)seed,
              encoding, s->delimiter, s->mark, (int)s->style, wrong, text, mr_explain_text(rig.arena, rig.data));
    norm_end(&rig);
}

static const char *const line_ends[] = {"\n", "\r\n", "\r"};

static void sweep(enum style from, enum style to) {
    static const char delimiters[] = {',', ';', '\t', '|'}, marks[] = {'.', ','};
    uint64_t seed = 20260511 + (uint64_t)from;
    size_t count = 0;
    for (int encoding = 0; encoding < 7; encoding++)
        for (size_t l = 0; l < 3; l++)
            for (size_t d = 0; d < 4; d++)
                for (size_t m = 0; m < 2; m++)
                    for (enum style style = from; style < to; style++, count++)
                        if (encoding != 5) {
                            struct shape s = {delimiters[d], marks[m], style, line_ends[l]};
                            one(seed++, encoding, &s);
                        }
    cr_assert(count >= 168 * (size_t)(to - from));
}

/* Together 19 styles x 4 delimiters x 2 marks x 3 line ends x 6 encodings = 2736 files. */
Test(combinations, of_the_first_styles_read_back) {
    sweep(ISO, SLASH_MDY);
}

Test(combinations, of_slashes_and_names_read_back) {
    sweep(SLASH_MDY, NAMED_GERMAN);
}

Test(combinations, of_german_compact_and_short_read_back) {
    sweep(NAMED_GERMAN, TWO_COLUMNS_DMY);
}

Test(combinations, of_utc_read_back) {
    sweep(TWO_COLUMNS_DMY, PARTS);
}

Test(combinations, of_columns_for_parts_and_headers_with_a_zone_read_back) {
    sweep(PARTS, STYLES);
}

/* More draws of one shape each, so that numbers and moments vary more than shapes do. */
Test(combinations, of_many_draws_read_back) {
    uint64_t state = 7;
    for (int i = 0; i < 1500; i++) {
        static const char delimiters[] = {',', ';', '\t', '|'};
        struct shape s = {delimiters[next(&state) % 4], next(&state) % 2 ? '.' : ',',
                          (enum style)(next(&state) % STYLES), line_ends[next(&state) % 3]};
        one(next(&state), 0, &s);
    }
}

/* A log cut into downloads that overlap as they like, in any order of files, is the log. */
Test(overlap, cutting_a_log_into_overlapping_files_changes_nothing) {
    uint64_t state = 99;
    for (int round = 0; round < 300; round++) {
        struct norm_rig rig;
        norm_begin(&rig);
        struct drawn d = draw(&state);
        struct shape s = {';', ',', ISO, "\n"};
        for (size_t i = 0; i < d.n; i++) /* whole rows only: a missing value would hide nothing here */
            d.b[i] = d.b[i] == INT32_MAX ? 55 : d.b[i];
        size_t cut = 2 + next(&state) % (d.n - 3), back = next(&state) % cut;
        struct drawn first = d, second = d;
        first.n = cut;
        second.n = d.n - (cut - back);
        for (size_t i = 0; i < second.n; i++) {
            second.t_ms[i] = d.t_ms[cut - back + i];
            second.a[i] = d.a[cut - back + i];
            second.b[i] = d.b[cut - back + i];
        }
        bool swap = next(&state) % 2;
        const char *serial = "Serial: H-1\n\n";
        norm_add(&rig, "a.csv",
                 mr_printf(rig.arena, "%s%s", serial, write_log(rig.arena, swap ? &second : &first, &s)), 0);
        norm_add(&rig, "b.csv",
                 mr_printf(rig.arena, "%s%s", serial, write_log(rig.arena, swap ? &first : &second, &s)), 0);
        norm_run(&rig);
        size_t used = (size_t)(rig.data->files.v[0].account.rows_used + rig.data->files.v[1].account.rows_used);
        cr_assert(used == d.n && norm_identity(&rig), "round %d: %zu of %zu rows, cut %zu, back %zu\n%s", round, used,
                  d.n, cut, back, mr_explain_text(rig.arena, rig.data));
        norm_end(&rig);
    }
}

/* The checker notices a planted fault: a value off by its last digit. */
Test(combinations, the_checker_sees_one_digit) {
    struct norm_rig rig;
    norm_begin(&rig);
    uint64_t state = 5;
    struct drawn d = draw(&state);
    struct shape s = {';', ',', ISO, "\n"};
    norm_add(&rig, "climate.csv", write_log(rig.arena, &d, &s), 0);
    norm_run(&rig);
    cr_assert(!check(&rig, &d, &s));
    d.a[2]++;
    cr_assert_str_eq(check(&rig, &d, &s), "a value");
    d.a[2]--;
    d.t_ms[1] += 1000;
    cr_assert_str_eq(check(&rig, &d, &s), "a moment");
    norm_end(&rig);
}
