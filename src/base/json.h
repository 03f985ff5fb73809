/*
 * json.h - the one writer of JSON: piece by piece, so that a job of any size needs no tree in memory.
 *
 * Keys stand in the order of the calls; numbers are finite and as short as they come back exactly; text is
 * well-formed UTF-8. Two blanks of indentation; items of rows on one line. Write errors are kept and returned by
 * mr_json_close.
 */
#ifndef MILRISE_BASE_JSON_H
#define MILRISE_BASE_JSON_H

#include "milrise/arena.h"

#include <stdio.h>

struct mr_json;

/** mr_json_open - to an open stream, which mr_json_close closes. */
struct mr_json *mr_json_open(struct mr_arena *arena, FILE *file);

/** mr_json_close - Returns: 0, or the errno of the first failure. */
int mr_json_close(struct mr_json *json);

/** mr_json_next_line - ends the value at the top and begins a new one on a line of its own (JSON Lines). */
void mr_json_next_line(struct mr_json *json);

/** mr_json_memory - as mr_json_open, into memory. mr_json_take - ends it and gives the text, which lies in arena. */
struct mr_json *mr_json_memory(struct mr_arena *arena);
char *mr_json_take(struct mr_json *json);

/* key NULL inside arrays. flat: no line breaks inside. */
void mr_json_object(struct mr_json *json, const char *key, bool flat);
void mr_json_array(struct mr_json *json, const char *key, bool flat);
void mr_json_end(struct mr_json *json);

void mr_json_text(struct mr_json *json, const char *key, const char *text); /* NULL gives null */
void mr_json_number(struct mr_json *json, const char *key, double value);   /* not finite gives null */
void mr_json_count(struct mr_json *json, const char *key, int64_t value);
void mr_json_flag(struct mr_json *json, const char *key, bool value);
void mr_json_time(struct mr_json *json, const char *key,
                  int64_t t_utc_ms); /* "2026-05-11T12:03:20Z"; MR_T_NONE gives null */
void mr_json_null(struct mr_json *json, const char *key);

/** mr_utc_text - "2026-05-11T12:03:20Z", with milliseconds where they are not zero, in arena. */
const char *mr_utc_text(struct mr_arena *arena, int64_t t_utc_ms);

#endif
