/*
 * json.c - see json.h. DEVELOPERS.md says why the library's writer does not serve.
 */
#include "base/json.h"

#include "base/buffer.h"
#include "base/text.h"
#include "base/utf8.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

enum { DEPTH_MOST = 24, ROOM = 1 << 16, UTF8_MOST = 4 };

struct mr_json {
    struct mr_arena *arena;
    FILE *file;            /* NULL: into memory */
    struct mr_buffer text; /* the whole text, or what the file has not been given yet */
    int error;
    size_t depth;
    struct {
        bool array, flat, started;
    } level[DEPTH_MOST];
};

struct mr_json *mr_json_memory(struct mr_arena *arena) {
    struct mr_json *j = MR_NEW(arena, struct mr_json);
    j->arena = arena;
    j->text.arena = arena;
    j->level[0].array = true; /* so that the one value at the top needs no key */
    return j;
}

struct mr_json *mr_json_open(struct mr_arena *arena, FILE *file) {
    struct mr_json *j = mr_json_memory(arena);
    j->file = file;
    return j;
}

static void give(struct mr_json *j) {
    fwrite_unlocked(j->text.v.v, 1, j->text.v.n, j->file); /* errors are asked for on closing */
    j->text.v.n = 0;
}

static void put(struct mr_json *j, const char *bytes, size_t n) {
    mr_buffer_add(&j->text, bytes, n);
    if (j->file && j->text.v.n >= ROOM)
        give(j);
}

static void put_byte(struct mr_json *j, char c) {
    put(j, &c, 1);
}

static void put_string(struct mr_json *j, const char *text) {
    put(j, text, strlen(text));
}

char *mr_json_take(struct mr_json *j) {
    put_byte(j, '\n');
    return mr_buffer_end(&j->text);
}

void mr_json_next_line(struct mr_json *j) {
    put_byte(j, '\n');
    j->level[0].started = false;
}

int mr_json_close(struct mr_json *j) {
    put_byte(j, '\n');
    give(j);
    if (fflush(j->file) != 0 || ferror(j->file))
        j->error = errno ? errno : EIO;
    if (fclose(j->file) != 0 && !j->error)
        j->error = errno;
    return j->error;
}

/* How many bytes go out as they are. */
static size_t plain_bytes(const char *text) {
    size_t n = 0;
    while (text[n] >= 0x20 && text[n] < 0x7f && text[n] != '"' && text[n] != '\\')
        n++;
    return n;
}

static void put_text(struct mr_json *j, const char *text) {
    put_byte(j, '"');
    for (size_t i = 0;;) {
        const size_t plain = plain_bytes(text + i);
        put(j, text + i, plain);
        i += plain;
        if (!text[i])
            break;
        const size_t len = mr_utf8_length(text + i, strnlen(text + i, UTF8_MOST));
        const unsigned char c = (unsigned char)text[i];
        if (len == 0) {
            put_string(j, "\xef\xbf\xbd"); /* U+FFFD: not a character */
            i++;
            continue;
        }
        if (c == '"' || c == '\\')
            put_byte(j, '\\');
        if (c < 0x20 || c == 0x7f) {
            char code[8];
            snprintf(code, sizeof code, "\\u%04x", (unsigned)c);
            put_string(j, code);
        } else {
            put(j, text + i, len);
        }
        i += len;
    }
    put_byte(j, '"');
}

static void next_line(struct mr_json *j) {
    static const char line[] = "\n                                                "; /* two blanks a level */
    _Static_assert(sizeof line == 2 + 2 * DEPTH_MOST, "as many as the deepest level has");
    put(j, line, 1 + 2 * j->depth);
}

static void indent(struct mr_json *j) {
    if (!j->level[j->depth].flat)
        next_line(j);
    else if (j->level[j->depth].started)
        put_byte(j, ' ');
}

/* Comma, line and key before a value. */
static void lead(struct mr_json *j, const char *key) {
    if (j->level[j->depth].started)
        put_byte(j, ',');
    if (j->depth > 0)
        indent(j);
    j->level[j->depth].started = true;
    if (key && !j->level[j->depth].array) {
        put_text(j, key);
        put_string(j, ": ");
    }
}

static void begin(struct mr_json *j, const char *key, bool array, bool flat) {
    lead(j, key);
    put_byte(j, array ? '[' : '{');
    flat = flat || j->level[j->depth].flat;
    j->depth++; /* the document's depth is fixed and far below the room */
    j->level[j->depth].array = array;
    j->level[j->depth].flat = flat;
    j->level[j->depth].started = false;
}

void mr_json_object(struct mr_json *j, const char *key, bool flat) {
    begin(j, key, false, flat);
}

void mr_json_array(struct mr_json *j, const char *key, bool flat) {
    begin(j, key, true, flat);
}

void mr_json_end(struct mr_json *j) {
    const bool array = j->level[j->depth].array, flat = j->level[j->depth].flat, started = j->level[j->depth].started;
    j->depth--;
    if (started && !flat)
        next_line(j);
    put_byte(j, array ? ']' : '}');
}

void mr_json_null(struct mr_json *j, const char *key) {
    lead(j, key);
    put_string(j, "null");
}

void mr_json_text(struct mr_json *j, const char *key, const char *text) {
    if (!text) {
        mr_json_null(j, key);
        return;
    }
    lead(j, key);
    put_text(j, text);
}

void mr_json_number(struct mr_json *j, const char *key, double value) {
    if (!isfinite(value)) {
        mr_json_null(j, key);
        return;
    }
    char text[32];
    mr_number_shortest(value, text);
    lead(j, key);
    put_string(j, text);
}

void mr_json_count(struct mr_json *j, const char *key, int64_t value) {
    char text[32];
    snprintf(text, sizeof text, "%lld", (long long)value);
    lead(j, key);
    put_string(j, text);
}

void mr_json_flag(struct mr_json *j, const char *key, bool value) {
    lead(j, key);
    put_string(j, value ? "true" : "false");
}

static void format_utc(int64_t t_utc_ms, char *out, size_t room) {
    int64_t day = t_utc_ms / MR_DAY_MS;
    if (t_utc_ms % MR_DAY_MS < 0)
        day--;
    const int ms = (int)(t_utc_ms - day * MR_DAY_MS);
    int y, m, d;
    mr_civil_from_days(day, &y, &m, &d);
    const int n =
        snprintf(out, room, "%04d-%02d-%02dT%02d:%02d:%02d", y, m, d, ms / 3600000, ms / 60000 % 60, ms / 1000 % 60);
    if (ms % 1000)
        snprintf(out + n, room - (size_t)n, ".%03dZ", ms % 1000);
    else
        snprintf(out + n, room - (size_t)n, "Z");
}

const char *mr_utc_text(struct mr_arena *arena, int64_t t_utc_ms) {
    char text[64];
    format_utc(t_utc_ms, text, sizeof text);
    return mr_strdup(arena, text);
}

void mr_json_time(struct mr_json *j, const char *key, int64_t t_utc_ms) {
    char text[64];
    if (t_utc_ms == MR_T_NONE) {
        mr_json_null(j, key);
        return;
    }
    format_utc(t_utc_ms, text, sizeof text);
    mr_json_text(j, key, text);
}
