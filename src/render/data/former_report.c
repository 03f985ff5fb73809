/*
 * former_report.c - see former_report.h.
 */
#include "render/data/former_report.h"

#include "base/text.h"
#include "milrise/units.h"

#include <jansson.h>
#include <math.h>
#include <string.h>

static const char *text_of(struct mr_arena *arena, const json_t *value) {
    const char *text = json_string_value(value);
    return text ? mr_strdup(arena, text) : "";
}

static const char *text_at(struct mr_arena *arena, const json_t *object, const char *key) {
    return text_of(arena, json_object_get(object, key));
}

static double number_at(const json_t *object, const char *key) {
    const json_t *value = json_object_get(object, key);
    return json_is_number(value) ? json_number_value(value) : MR_NAN;
}

static void read_zones(struct mr_arena *arena, const json_t *list, struct mr_former *out) {
    for (size_t i = 0; i < json_array_size(list); i++) {
        const json_t *z = json_array_get(list, i), *film = json_object_get(z, "film"),
                     *readings = json_object_get(film, "readings");
        struct mr_former_zone zone = {.name = text_at(arena, z, "name"),
                                      .outcome = text_at(arena, z, "outcome"),
                                      .readings = json_is_integer(readings) ? (long)json_integer_value(readings) : -1,
                                      .mean_um = number_at(film, "mean_um"),
                                      .least_um = number_at(film, "min_um")};
        MR_PUSH(arena, &out->zones, zone);
    }
}

/* Position of a column in a table of the report; MR_NONE where it has none of that key. */
static size_t column(const json_t *table, const char *key) {
    const json_t *fields = json_object_get(table, "fields");
    for (size_t i = 0; i < json_array_size(fields); i++) {
        const char *name = json_string_value(json_object_get(json_array_get(fields, i), "key"));
        if (name && strcmp(name, key) == 0)
            return i;
    }
    return MR_NONE;
}

static void read_register(struct mr_arena *arena, const json_t *tables, struct mr_former *out) {
    static const char *const keys[] = {"number",      "zone",   "what",      "found", "found_in",
                                       "disposition", "closed", "closed_by", "state"};
    for (size_t i = 0; i < json_array_size(tables); i++) {
        const json_t *table = json_array_get(tables, i), *rows = json_object_get(table, "rows");
        const char *id = json_string_value(json_object_get(table, "id"));
        for (size_t r = 0; id && strcmp(id, "non-conformances") == 0 && r < json_array_size(rows); r++) {
            const char *text[MR_COUNT(keys)];
            for (size_t k = 0; k < MR_COUNT(keys); k++) {
                size_t at = column(table, keys[k]);
                text[k] = at == MR_NONE ? "" : text_of(arena, json_array_get(json_array_get(rows, r), at));
            }
            struct mr_former_entry e = {text[0], text[1], text[2], text[3], text[4],
                                        text[5], text[6], text[7], text[8]};
            if (*e.number)
                MR_PUSH(arena, &out->entries, e);
        }
    }
}

const char *mr_setting_name(struct mr_arena *arena, const char *spec, const char *section, const char *key) {
    return mr_printf(arena, "%s%s[%s] %s", spec, *spec ? " " : "", section, key);
}

static void read_pairs(struct mr_arena *arena, const json_t *root, struct mr_former *out) {
    const json_t *inputs = json_object_get(root, "inputs"), *settings = json_object_get(root, "settings");
    for (size_t i = 0; i < json_array_size(inputs); i++) {
        const json_t *f = json_array_get(inputs, i);
        struct mr_former_pair pair = {text_at(arena, f, "path"), text_at(arena, f, "sha256")};
        MR_PUSH(arena, &out->files, pair);
    }
    for (size_t i = 0; i < json_array_size(settings); i++) {
        const json_t *s = json_array_get(settings, i);
        struct mr_former_pair pair = {mr_setting_name(arena, text_at(arena, s, "specification"),
                                                      text_at(arena, s, "section"), text_at(arena, s, "key")),
                                      text_at(arena, s, "value")};
        MR_PUSH(arena, &out->settings, pair);
    }
}

/* One whose revision or date does not hold water is left out, and so drawn anew. */
static void read_figures(struct mr_arena *arena, const json_t *list, struct mr_former *out) {
    for (size_t i = 0; i < json_array_size(list); i++) {
        const json_t *f = json_array_get(list, i);
        const json_int_t since = json_integer_value(json_object_get(f, "since_revision"));
        const char *created = text_at(arena, f, "created");
        struct mr_former_figure figure = {
            .stem = text_at(arena, f, "stem"), .key = text_at(arena, f, "key"), .since = (long)since};
        if (since >= 0 && since <= out->revision && strlen(created) == sizeof "2026-05-11T14:03:20Z" - 1 &&
            mr_scan_iso_local(created, sizeof "2026-05-11T14:03:20" - 1, &figure.created_utc_ms))
            MR_PUSH(arena, &out->figures, figure);
    }
}

struct mr_former mr_former_read(struct mr_arena *arena, const char *text) {
    struct mr_former out = {.version = "", .outcome = ""};
    json_t *root = text ? json_loads(text, JSON_REJECT_DUPLICATES, NULL) : NULL;
    if (!json_is_object(root)) {
        json_decref(root);
        return out;
    }
    out.any = true;
    out.revision = (long)json_integer_value(json_object_get(root, "revision"));
    out.version = text_at(arena, root, "milrise_version");
    out.outcome = text_at(arena, root, "outcome");
    read_zones(arena, json_object_get(root, "zones"), &out);
    read_register(arena, json_object_get(root, "tables"), &out);
    read_pairs(arena, root, &out);
    read_figures(arena, json_object_get(root, "figures"), &out);
    json_decref(root);
    return out;
}
