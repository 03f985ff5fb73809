/*
 * align_fixture.h - normalised data by hand, so that the align stage can be tested without files.
 */
#ifndef TESTS_SUPPORT_ALIGN_FIXTURE_H
#define TESTS_SUPPORT_ALIGN_FIXTURE_H

#include "milrise/align.h"

struct fixture {
    struct mr_arena *arena;
    struct mr_job job;
    struct mr_sources sources;
    struct mr_data data;
    struct mr_diags diags;
    const struct mr_alignment *aligned;
    enum mr_status status;
};

/** fix_init - an empty job in a time zone. fix_free - all of it. */
void fix_init(struct fixture *f, const char *time_zone);
void fix_free(struct fixture *f);

/** fix_time - "2026-05-11 08:00[:00]" as local ms. */
int64_t fix_time(const char *text);

void fix_set(struct fixture *f, enum mr_setting_id id, double value);
struct mr_instrument *fix_instrument(struct fixture *f, const char *name);
void fix_assign(struct fixture *f, const char *instrument, const char *channel, const char *zone, const char *from,
                const char *to);

/** fix_file - a file; its account counts rows as they are added. Returns its index. */
uint32_t fix_file(struct fixture *f, const char *path, enum mr_kind kind, enum mr_time_basis basis,
                  const char *instrument);
void fix_zone(struct fixture *f, uint32_t file, const char *name, const char *aliases);
struct mr_spray *fix_spray(struct fixture *f, uint32_t file, enum mr_action action, const char *zone,
                           const char *coat, int64_t start_ms, int64_t stop_ms);
struct mr_reading *fix_reading(struct fixture *f, uint32_t file, const char *zone, int64_t t_ms, double film_um);
/** fix_channel - arrays are borrowed; lines run from 2 where line is NULL. */
struct mr_channel *fix_channel(struct fixture *f, uint32_t file, const char *name, enum mr_meaning meaning, size_t n,
                               const int64_t *t_ms, const double *value, const uint32_t *line);

/** fix_align - mr_align; spans and row counts of the files are worked out first. */
void fix_align(struct fixture *f);

/** fix_has - whether a diagnostic of that id stands in the list. */
bool fix_has(const struct fixture *f, const char *id);
const struct mr_clock *fix_clock(const struct fixture *f, const char *instrument);

#endif
