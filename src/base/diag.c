/*
 * diag.c - collects, cleans and formats diagnostics. Texts from input files may hold anything, so they are cut
 * and neutralised here, once, before they can reach a terminal, a sheet or a JSON file.
 */
#include "milrise/diag.h"

#include "base/utf8.h"

#include <stdio.h>
#include <string.h>

enum { TEXT_BYTES = 80 };

const char *mr_status_text(enum mr_status status) {
    static const char *const texts[] = {
#define MR_STATUS_SENTENCE(name, text) [name] = text,
        MR_STATUS_LIST(MR_STATUS_SENTENCE)
#undef MR_STATUS_SENTENCE
    };
    size_t i = (size_t)status;
    return i < MR_COUNT(texts) ? texts[i] : "unknown status";
}

const char *mr_severity_text(enum mr_severity severity) {
    static const char *const texts[] = {[MR_NOTE] = "note", [MR_WARNING] = "warning", [MR_ERROR] = "error"};
    return texts[severity];
}

void mr_diags_init(struct mr_diags *diags, struct mr_arena *arena) {
    *diags = (struct mr_diags){.arena = arena};
}

char *mr_clean_text(struct mr_arena *arena, const char *text, size_t n, size_t max) {
    size_t most = n < max / 4 ? 4 * n : max; /* a byte that is no text takes four */
    char *out = mr_alloc(arena, most + sizeof "…" + 4, 1);
    size_t used = 0, i = 0;
    while (i < n) {
        size_t len = mr_utf8_length(text + i, n - i);
        bool plain = len > 1 || (len == 1 && (unsigned char)text[i] >= 0x20 && text[i] != 0x7f);
        size_t need = plain ? len : 4;
        if (used + need > max) {
            memcpy(out + used, "…", sizeof "…");
            return out;
        }
        if (plain) {
            memcpy(out + used, text + i, len);
            i += len;
        } else {
            snprintf(out + used, 5, "\\x%02x", (unsigned)(unsigned char)text[i]);
            i++;
        }
        used += need;
    }
    out[used] = '\0';
    return out;
}

void mr_diag_add(struct mr_diags *diags, enum mr_severity severity, const char *id, struct mr_place place,
                 const char *text, const char *mend, const char *what, ...) {
    if (!diags)
        return;
    struct mr_arena *arena = diags->arena;
    struct mr_diag d = {.severity = severity, .id = id, .place = place};
    if (place.file)
        d.place.file = mr_strdup(arena, place.file);
    if (text)
        d.text = mr_clean_text(arena, text, strlen(text), TEXT_BYTES);
    if (mend)
        d.mend = mr_strdup(arena, mend);
    va_list args;
    va_start(args, what);
    char *message = mr_vprintf(arena, what, args);
    va_end(args);
    d.what = mr_clean_text(arena, message, strlen(message), 4096);
    MR_PUSH(arena, &diags->list, d);
    diags->count[severity]++;
}

void mr_diags_append(struct mr_diags *diags, const struct mr_diags *more) {
    if (!diags)
        return;
    for (size_t i = 0; i < more->list.n; i++)
        MR_PUSH(diags->arena, &diags->list, more->list.v[i]);
    for (size_t i = 0; i < MR_COUNT(more->count); i++)
        diags->count[i] += more->count[i];
}

static char *place_text(struct mr_arena *arena, const struct mr_place *p) {
    if (!p->file)
        return mr_strdup(arena, "");
    if (!p->line)
        return mr_printf(arena, "%s: ", p->file);
    const char *column = p->column ? mr_printf(arena, ":%u", (unsigned)p->column) : "";
    if (p->line_end > p->line)
        return mr_printf(arena, "%s:%u-%u%s: ", p->file, (unsigned)p->line, (unsigned)p->line_end, column);
    return mr_printf(arena, "%s:%u%s: ", p->file, (unsigned)p->line, column);
}

char *mr_diag_plain(struct mr_arena *arena, const struct mr_diag *d) {
    const char *quote = d->text ? "\"" : "";
    return mr_printf(arena, "%s%s%s%s%s%s", place_text(arena, &d->place), quote, d->text ? d->text : "", quote,
                     d->text ? " " : "", d->what);
}

char *mr_diag_line(struct mr_arena *arena, const struct mr_diag *d) {
    const char *quote = d->text ? "\"" : "";
    return mr_printf(arena, "%s%s[%s]: %s%s%s%s%s%s%s", place_text(arena, &d->place), mr_severity_text(d->severity),
                     d->id, quote, d->text ? d->text : "", quote, d->text ? " " : "", d->what, d->mend ? ". " : "",
                     d->mend ? d->mend : "");
}
