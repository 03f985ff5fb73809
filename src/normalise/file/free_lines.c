/* free_lines.c - see free_lines.h. */
#include "normalise/file/free_lines.h"

#include "base/text.h"
#include "normalise/cell/words.h"
#include "normalise/phrase/free_words.h"
#include "normalise/row/block_lines.h"

#include <string.h>

enum { LINES_MOST = 20 };

/* A line that names a zone, an area or a gauge is read where no column names them; where one does, the line stands
 * unread beside it. */
static bool is_overruled(const struct mr_file_state *state, const char *name, const char *words) {
    static const char serials[] = "serial|serial number|serial no|sn|s n|gauge|gage|gauge serial|gage serial";
    if (mr_name_among(name, MR_ZONE_NAMES))
        return mr_plan_column_of(state->plan, MR_M_ZONE) != MR_NONE;
    if (mr_name_among(name, MR_AREA_NAMES))
        return mr_plan_column_of(state->plan, MR_M_AREA_ID) != MR_NONE;
    if (!mr_name_among(name, serials) || mr_plan_column_of(state->plan, MR_M_SERIAL) == MR_NONE || !*state->serial)
        return false;
    const char *own = mr_words_fold(state->scratch, state->serial, strlen(state->serial));
    return !strstr(words, own) && !strstr(own, words);
}

static bool was_checked(const struct mr_file_state *state, uint32_t line) {
    for (size_t i = 0; i < state->checked.n; i++)
        if (state->checked.v[i] == line)
            return true;
    return false;
}

static void publish(struct mr_file_state *state, const struct mr_pair *line, uint64_t *further) {
    if (was_checked(state, line->place.line))
        return;
    /* a title with a colon in its only cell is a pair too */
    const char *colon = *line->name ? NULL : strchr(line->value, ':');
    const char *name = colon ? mr_strndup(state->scratch, line->value, (size_t)(colon - line->value)) : line->name;
    const char *value = colon ? colon + 1 : line->value;
    const char *own = mr_words_fold(state->scratch, name, strlen(name));
    const char *words = mr_words_fold(state->scratch, value, strlen(value));
    if (mr_is_neutral_line(state->scratch, state->job, own, words, value) && !is_overruled(state, own, words))
        return;
    if (state->file->sayings.n >= LINES_MOST) {
        ++*further;
        return;
    }
    const char *text = *line->name ? mr_printf(state->scratch, "%s: %s", line->name, line->value) : line->value;
    const struct mr_saying saying = {.line = line->place.line,
                                     .name = "",
                                     .text = mr_clean_text(state->arena, text, strlen(text), 200),
                                     .cells = 1};
    MR_PUSH(state->arena, &state->file->sayings, saying);
}

static bool is_between(const struct mr_source *source, uint32_t line) {
    for (size_t i = 0; i < source->between.n; i++)
        if (source->between.v[i].place.line == line)
            return true;
    return false;
}

/* Lines of words below the table, and notes behind a mark of comments: cells with tabs between them. */
static void publish_below(struct mr_file_state *state, const struct mr_legend_line *line, uint64_t *further) {
    if (line->line < state->source->first_body_line || is_between(state->source, line->line))
        return;
    const char *end = line->text + strlen(line->text);
    while (end > line->text && strchr("\t ", end[-1]))
        end--;
    const char *text = line->text + strspn(line->text, "\t #"),
               *tab = memchr(line->text, '\t', (size_t)(end - line->text));
    if (text >= end)
        return;
    const bool two = tab && tab > text && !memchr(tab + 1, '\t', (size_t)(end - tab - 1));
    const char *name = two ? mr_strndup(state->scratch, text, (size_t)(tab - text)) : "";
    char *value = two ? mr_strndup(state->scratch, tab + 1, (size_t)(end - tab - 1))
                      : mr_strndup(state->scratch, text, (size_t)(end - text));
    for (char *p = value; *p; p++)
        *p = (char)(*p == '\t' ? ' ' : *p);
    const struct mr_pair pair = {.name = name, .value = value, .place = {.line = line->line}};
    publish(state, &pair, further);
}

void mr_free_lines_publish(struct mr_file_state *state) {
    const struct mr_source *source = state->source;
    uint64_t further = 0;
    for (size_t i = 0; i < source->preamble.n; i++)
        publish(state, &source->preamble.v[i], &further);
    for (size_t i = 0; i < source->titles.n; i++)
        publish(state, &source->titles.v[i], &further);
    for (size_t i = 0; i < source->between.n; i++)
        publish(state, &source->between.v[i], &further);
    for (size_t i = 0; i < state->legend.n; i++)
        publish_below(state, &state->legend.v[i], &further);
    if (!further)
        return;
    const struct mr_saying rest = {.name = "", .cells = further};
    MR_PUSH(state->arena, &state->file->sayings, rest);
}
