/*
 * split.c - a file that holds several tables becomes one source for each of them, so that each is read by its own
 * heading. Lines keep the numbers that they have in the file, and every row belongs to one source.
 */
#include "read/source/source.h"

#include "base/keyfile.h"
#include "base/text.h"
#include "read/bytes/bytes.h"
#include "read/bytes/decode.h"
#include "read/job/job_lookup.h"

#include <string.h>

enum {
    SPLIT_BYTES = 4 << 20, /* larger files are logs: their other tables are set aside (project decision) */
    TABLES_MOST = 64,      /* of one file */
};

/* First lines of the tables of a text. */
struct table_starts {
    struct mr_arena *arena;
    MR_VEC(struct mr_pair) between; /* the last of them with no rows below it yet, from `settled` on */
    size_t settled;
    size_t n;
    uint32_t line[TABLES_MOST];
    const struct mr_source *source;
    bool other;            /* the rows now are what the reader calls another table's */
    bool table;            /* a heading with numbers below it was seen */
    bool blank;            /* the row before was blank */
    uint32_t above;        /* first line behind the last blank one; 0 = none */
    uint32_t pending;      /* where a table begins whose heading was the row before; 0 = none */
    size_t numbers;        /* rows with numbers in the table in hand */
    size_t cells;          /* of that heading */
    uint64_t heading, now; /* hashes of that heading, and of the table's in hand */
};

static void add_start(struct table_starts *s, uint32_t line) {
    if (s->n < TABLES_MOST && (!s->n || s->line[s->n - 1] < line))
        s->line[s->n++] = line;
}

static bool begins_number(const struct mr_cell *cell) {
    return cell->n &&
           (mr_is_digit(cell->p[0]) || (strchr("+-.,", cell->p[0]) && cell->n > 1 && mr_is_digit(cell->p[1])));
}

/* Nothing but words, two at least: what a heading is made of. */
static bool all_words(const struct mr_row *row, uint64_t *out_hash) {
    size_t given = 0;
    *out_hash = MR_HASH_SEED;
    for (size_t i = 0; i < row->n; i++) {
        const struct mr_cell *cell = &row->cell[i];
        if (begins_number(cell))
            return false;
        given += cell->n > 0;
        *out_hash = mr_hash(mr_hash(*out_hash, cell->p, cell->n), "\t", 1);
    }
    return given >= 2;
}

static bool any_number(const struct mr_row *row) {
    for (size_t i = 0; i < row->n; i++)
        if (begins_number(&row->cell[i]))
            return true;
    return false;
}

/* "Test plate", "Type,shim check" or "# deleted" among the rows: what stands above the rows below it. Where blanks
 * part the columns they part the words of a title. */
static void look_for_title(struct table_starts *s, const struct mr_row *row) {
    enum { WORDS_MOST = 12 };
    const bool blanks = s->source->delimiter == MR_BLANKS;
    struct mr_pair title = {"", "", {.file = s->source->path, .line = row->line}};
    size_t given = 0;
    if (any_number(row)) {
        s->settled = s->between.n;
        return;
    }
    if (!row->n || !row->cell[0].n || row->n > WORDS_MOST || s->source->n_columns < 3)
        return;
    for (size_t i = 0; i < row->n; i++) {
        if (!row->cell[i].n)
            continue;
        const char *text = mr_strndup(s->arena, row->cell[i].p, row->cell[i].n);
        if (given++ && !blanks)
            title.name = title.value;
        title.value = given > 1 && blanks ? mr_printf(s->arena, "%s %s", title.value, text) : text;
    }
    if (given <= 2 || blanks)
        MR_PUSH(s->arena, &s->between, title);
}

/* "Interval,120 s" or "Serial,TG-9,,": a name and its value. */
static bool is_fact(const struct table_starts *s, const struct mr_row *row) {
    size_t given = 0;
    for (size_t i = 0; i < row->n; i++)
        given += row->cell[i].n > 0;
    return given == 2 && s->cells > 2 && row->cell[0].n && !begins_number(&row->cell[0]);
}

/* A row of words below a blank line, with numbers in as many cells below it, heads a table; another heading than the
 * one in hand begins the next. Lines between the blank and the heading belong to the table below them. */
static void look_for_heading(struct table_starts *s, const struct mr_row *row) {
    if (s->pending && row->n == s->cells && any_number(row)) {
        bool pairs =
            s->n == 1 && s->numbers < 2; /* one row of names and one of values: facts about the table below */
        if (s->table && s->heading != s->now && !pairs)
            add_start(s, s->pending);
        s->table = true;
        s->numbers = 0;
        s->now = s->heading;
        s->above = 0;
    }
    s->pending = 0;
    s->numbers += any_number(row);
    uint64_t hash;
    if ((s->above || !s->table) && all_words(row, &hash)) {
        s->pending = s->above ? s->above : row->line;
        s->cells = row->n;
        s->heading = hash;
    } else if (any_number(row) && row->n > 1 && !is_fact(s, row)) {
        s->above = 0; /* rows go on below the blank line */
    }
}

/* What the reader calls another table begins one too, and the first heading once more begins the next. */
static bool find_start(void *ctx, const struct mr_row *row) {
    struct table_starts *s = ctx;
    if (row->part == MR_ROW_BLANK) {
        s->blank = true;
        s->pending = 0;
        return true;
    }
    if (row->part == MR_ROW_BROKEN)
        return true;
    look_for_title(s, row);
    if (s->blank && !s->above) /* further blank lines part a table's facts, not the tables */
        s->above = row->line;
    s->blank = false;
    if (row->part != MR_ROW_PREAMBLE || row->n > 2) /* "Interval, 120 s" above a table is a fact about it */
        look_for_heading(s, row);
    if (row->line <= s->source->above_last) {
        if (row->line == s->source->above_last)
            add_start(s, row->line_end > row->line ? row->line_end + 1 : row->line + 1);
    } else if (row->part == MR_ROW_OTHER && !s->other) {
        s->other = true;
        add_start(s, row->line);
    } else if (s->other && (row->part == MR_ROW_BODY || row->part == MR_ROW_HEADER)) {
        s->other = false;
        add_start(s, row->line);
    }
    return true;
}

/* The whole file as UTF-8; NULL where it cannot be read. */
static char *whole_text(struct mr_arena *arena, const struct mr_source *source, size_t *out_n) {
    struct mr_bytes bytes;
    size_t n = 0, got;
    if (source->full_path) {
        if (!mr_bytes_open(&bytes, source->full_path, MR_CHUNK_BYTES, NULL))
            return NULL;
    } else {
        mr_bytes_memory(&bytes, source->data, source->size, MR_CHUNK_BYTES);
    }
    char *raw = mr_alloc(arena, (size_t)source->size + 1, 1);
    while (n < source->size && (got = mr_bytes_next(&bytes, raw + n, (size_t)source->size - n)) > 0)
        n += got;
    mr_bytes_close(&bytes);
    if (n != source->size)
        return NULL;
    *out_n = n;
    if (source->encoding == MR_ENC_UTF8)
        return raw;
    struct mr_decoder decoder = {.encoding = source->encoding};
    char *text = mr_alloc(arena, MR_DECODED_MAX(n), 1);
    *out_n = mr_decode(&decoder, raw, n, text);
    *out_n += mr_decode_end(&decoder, text + *out_n);
    return text;
}

/* Where a line begins, lines ending in LF, CR or both. */
static size_t line_at(const char *text, size_t n, uint32_t wanted) {
    uint32_t line = 1;
    size_t i = 0;
    while (i < n && line < wanted) {
        bool pair = text[i] == '\r' && i + 1 < n && text[i + 1] == '\n';
        line += text[i] == '\n' || text[i] == '\r';
        i += pair ? 2 : 1;
    }
    return i;
}

static struct mr_source piece_of(struct mr_arena *arena, const struct mr_job *job, const struct mr_source *whole,
                                 const char *text, size_t n, uint32_t line, unsigned number) {
    struct mr_source out;
    struct mr_diags none;
    mr_diags_init(&none, arena); /* what is wrong with the file was said of it as a whole */
    const char *path = number == 1 ? whole->path : mr_printf(arena, "%s (table %u)", whole->path, number);
    enum mr_status status = mr_read_memory(arena, job, path, text, n, &none, &out);
    (void)status; /* memory is always readable */
    out.piece = text;
    out.piece_size = n;
    out.piece_no = number;
    out.line_base = line - 1;
    out.full_path = whole->full_path;
    out.data = whole->data;
    out.size = whole->size;
    out.encoding = whole->encoding;
    out.encoding_why = whole->encoding_why;
    out.bom = whole->bom;
    out.stamp = whole->stamp;
    memcpy(out.sha256, whole->sha256, sizeof out.sha256);
    uint32_t *const lines[] = {&out.header_line, &out.units_line, &out.first_body_line, &out.above_first,
                               &out.above_last};
    for (size_t i = 0; i < MR_COUNT(lines); i++)
        *lines[i] += *lines[i] ? out.line_base : 0;
    for (size_t i = 0; i < out.preamble.n; i++)
        out.preamble.v[i].place.line += out.line_base;
    return out;
}

enum lasting { LASTS_NOT, LASTS_CLOCK, LASTS_UNIT, LASTS_INSTRUMENT, LASTS_PLACE };

static bool in_words(const char *words, const char *const *list, size_t n) {
    for (const char *w = words; *w; w += strcspn(w, " "), w += *w == ' ')
        for (size_t i = 0; i < n; i++)
            if (strlen(list[i]) == strcspn(w, " ") && memcmp(list[i], w, strlen(list[i])) == 0)
                return true;
    return false;
}

/* What a line above the first table says of the instrument, its clock, its units and its place holds for the tables
 * below it too, unless their own lines speak of the same. What begins or dates a table does not. */
static enum lasting lasting_fact(struct mr_arena *arena, const char *name) {
    static const char *const clocks[] = {
        "time zone", "timezone",     "utc offset",     "zone offset",    "zeitzone",
        "tz",        "zona horaria", "fuso orario",    "fuso horario",   "tijdzone",
        "tidszon",   "time base",    "fuseau horaire", "strefa czasowa", "utc offset seconds"};
    static const char *const never[] = {"start", "stop", "date", "begin", "end", "download"};
    static const char *const units[] = {"unit",     "units",   "einheit", "einheiten", "unite", "unites",   "unidad",
                                        "unidades", "unidade", "unita",   "eenheid",   "enhet", "jednostka"};
    static const char *const instruments[] = {"serial",  "sn",         "gauge",        "gage",
                                              "logger",  "device",     "probe",        "instrument",
                                              "station", "hygrometer", "seriennummer", "thermometer"};
    static const char *const places[] = {"zone", "location", "area"};
    const char *plain = mr_unaccent(arena, name, strlen(name));
    const char *words = mr_fold(arena, plain, strlen(plain));
    for (size_t i = 0; i < MR_COUNT(clocks); i++)
        if (strcmp(words, clocks[i]) == 0)
            return LASTS_CLOCK;
    return in_words(words, never, MR_COUNT(never))               ? LASTS_NOT
           : in_words(words, units, MR_COUNT(units))             ? LASTS_UNIT
           : in_words(words, instruments, MR_COUNT(instruments)) ? LASTS_INSTRUMENT
           : in_words(words, places, MR_COUNT(places))           ? LASTS_PLACE
                                                                 : LASTS_NOT;
}

static void inherit_facts(struct mr_arena *arena, struct mr_source *piece, const struct mr_source *first) {
    bool own[LASTS_PLACE + 1] = {[LASTS_NOT] = true};
    for (size_t i = 0; i < piece->preamble.n; i++)
        own[lasting_fact(arena, piece->preamble.v[i].name)] = true;
    for (size_t i = 0; i < first->preamble.n; i++)
        if (!own[lasting_fact(arena, first->preamble.v[i].name)])
            MR_PUSH(arena, &piece->preamble, first->preamble.v[i]);
}

/* Those of the lines that stand below the heading of a table. */
static void take_between(struct mr_arena *arena, struct mr_source *source, const struct table_starts *s,
                         uint32_t before) {
    for (size_t i = 0; i < s->settled; i++) {
        const uint32_t line = s->between.v[i].place.line;
        if (line > source->header_line && line < before)
            MR_PUSH(arena, &source->between, s->between.v[i]);
    }
}

void mr_read_split(struct mr_arena *arena, const struct mr_job *job, const struct mr_source *source,
                   struct mr_sources *out) {
    struct table_starts starts = {.source = source, .arena = arena};
    size_t n;
    char *text = NULL;
    bool may = source->readable && source->encoding != MR_ENC_BINARY && source->n_columns && source->size &&
               source->size <= SPLIT_BYTES && !source->piece;
    add_start(&starts, 1);
    if (may && mr_read_rows(source, find_start, &starts) == MR_OK && starts.n > 1)
        text = whole_text(arena, source, &n);
    if (!text) {
        struct mr_source whole = *source;
        take_between(arena, &whole, &starts, UINT32_MAX);
        MR_PUSH(arena, &out->list, whole);
        return;
    }
    size_t begun = out->list.n;
    for (size_t i = 0; i < starts.n; i++) {
        size_t from = line_at(text, n, starts.line[i]),
               to = i + 1 < starts.n ? line_at(text, n, starts.line[i + 1]) : n;
        if (to <= from)
            continue;
        struct mr_source piece =
            piece_of(arena, job, source, text + from, to - from, starts.line[i], (unsigned)i + 1);
        take_between(arena, &piece, &starts, i + 1 < starts.n ? starts.line[i + 1] : UINT32_MAX);
        if (i)
            inherit_facts(arena, &piece, &out->list.v[begun]);
        MR_PUSH(arena, &out->list, piece);
    }
}
