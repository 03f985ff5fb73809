/*
 * former_sieve.c - see the header. It knows texts and brackets and nothing else of JSON: what is left is read by
 * jansson, strictly. Members come in the order in which report_json.c writes them, so a table's id stands before its
 * rows.
 */
#include "render/data/former_sieve.h"

#include "base/buffer.h"
#include "milrise/assess.h"
#include "render/publish/beneath.h"

#include <errno.h>
#include <string.h>

enum { WORD_ROOM = 32, OF_ROOT = 1, OF_ITEM = 3 }; /* the depth of the root's members, and of those of its lists */

struct sieve {
    struct mr_buffer kept;
    size_t max;
    int depth; /* open objects and lists */
    bool in_text, escaped;
    char word[WORD_ROOM]; /* the text in hand, or the last one; cut */
    size_t word_n;
    char member[WORD_ROOM], key[WORD_ROOM]; /* of the root, and of an item of its list */
    bool is_register;                       /* the item is the table of the register */
    int skipping;                           /* depth of the member whose value is left out; 0: none */
};

static bool is_among(const char *word, const char *const *words, size_t n) {
    for (size_t i = 0; i < n; i++)
        if (strcmp(word, words[i]) == 0)
            return true;
    return false;
}

static bool is_wanted(const struct sieve *s) {
    static const char *const members[] = {"revision", "milrise_version", "outcome",  "zones",
                                          "tables",   "inputs",          "settings", "figures"},
                             *const of_zone[] = {"name", "outcome", "film"}, *const of_table[] = {"id", "fields"};
    if (s->depth == OF_ROOT)
        return is_among(s->member, members, MR_COUNT(members));
    if (strcmp(s->member, "zones") == 0)
        return is_among(s->key, of_zone, MR_COUNT(of_zone));
    if (strcmp(s->member, "tables") == 0)
        return s->is_register || is_among(s->key, of_table, MR_COUNT(of_table));
    return true;
}

static void keep(struct sieve *s, const char *text, size_t n) {
    if (!s->skipping)
        mr_buffer_add(&s->kept, text, n);
}

/* Behind a key comes its value. */
static void at_colon(struct sieve *s, const char *c) {
    keep(s, c, 1);
    if (s->skipping || (s->depth != OF_ROOT && s->depth != OF_ITEM))
        return;
    memcpy(s->depth == OF_ROOT ? s->member : s->key, s->word, sizeof s->word);
    if (is_wanted(s))
        return;
    keep(s, "null", 4);
    s->skipping = s->depth;
}

static void at_end_of_text(struct sieve *s) {
    s->in_text = false;
    s->word[s->word_n] = '\0';
    if (s->depth == OF_ITEM && strcmp(s->key, "id") == 0 && strcmp(s->member, "tables") == 0 && !s->skipping)
        s->is_register = strcmp(s->word, MR_REGISTER) == 0;
}

static void in_text(struct sieve *s, const char *c) {
    keep(s, c, 1);
    if (s->escaped)
        s->escaped = false;
    else if (*c == '\\')
        s->escaped = true;
    else if (*c == '"')
        at_end_of_text(s);
    else if (s->word_n < WORD_ROOM - 1)
        s->word[s->word_n++] = *c;
}

static void out_of_text(struct sieve *s, const char *c) {
    const bool opens = *c == '{' || *c == '[', closes = *c == '}' || *c == ']', divides = *c == ',';
    if (s->skipping && s->depth == s->skipping && (closes || divides))
        s->skipping = 0;
    if (*c == ':') {
        at_colon(s, c);
        return;
    }
    keep(s, c, 1);
    s->depth += opens - closes;
    if (*c == '"') {
        s->in_text = true;
        s->word_n = 0;
    } else if (s->depth == OF_ITEM && (opens || divides)) {
        s->is_register = s->is_register && divides;
        s->key[0] = '\0';
    }
}

static bool take(void *ctx, const char *piece, size_t n) {
    struct sieve *s = ctx;
    for (size_t i = 0; i < n; i++)
        (s->in_text ? in_text : out_of_text)(s, &piece[i]);
    return s->kept.v.n <= s->max;
}

const char *mr_former_text(struct mr_arena *arena, int folder, const char *path, size_t max) {
    struct sieve s = {.kept = {.arena = arena}, .max = max};
    return mr_beneath_pieces(folder, path, take, &s) ? mr_buffer_end(&s.kept) : NULL;
}
