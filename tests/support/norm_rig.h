/*
 * norm_rig.h - texts through reading and normalising, the result written down in one compact line per file.
 *
 *   kind; N header, N used, reason N, ...; date order; first row; last row
 *
 * Rows as mr_shown_rows gives them, with their line. Parts that do not apply are left out.
 */
#ifndef TEST_NORM_RIG_H
#define TEST_NORM_RIG_H

#include "milrise/normalise.h"

struct norm_rig {
    struct mr_arena *arena;
    struct mr_diags diags;
    struct mr_job *job; /* states nothing; fill before adding files */
    struct mr_sources sources;
    const struct mr_data *data;
    enum mr_status status;
};

void norm_begin(struct norm_rig *rig);
/* size 0 = strlen(text). Files must be added in the order of their paths. */
void norm_add(struct norm_rig *rig, const char *path, const char *text, size_t size);
void norm_run(struct norm_rig *rig);
void norm_end(struct norm_rig *rig);

/* A [file "GLOB"] rule of the rig's job, all texts "" to begin with. */
struct mr_file_rule *norm_rule(struct norm_rig *rig, const char *glob);
void norm_rule_column(struct norm_rig *rig, struct mr_file_rule *rule, const char *name, const char *meaning,
                      const char *unit);

/* The compact line of a file. */
const char *norm_line(struct norm_rig *rig, size_t file);

/* Diagnostics of an id; and the printed form of the first one, "" where there is none. */
size_t norm_count(const struct norm_rig *rig, const char *id);
const char *norm_first(struct norm_rig *rig, const char *id);

/* The channel of a file by its meaning; NULL. */
const struct mr_channel *norm_channel(const struct norm_rig *rig, size_t file, enum mr_meaning meaning, size_t nth);

/* Whether the identity and its parts hold for every account. */
bool norm_identity(const struct norm_rig *rig);

#endif
