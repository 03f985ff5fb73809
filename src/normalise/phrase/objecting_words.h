/*
 * objecting_words.h - columns of a log that may object to what its values show: its own alarm ("Alarm: HIGH RH"), a
 * permit ("OK to paint: no"), an event ("Condensation: yes"), a figure that a limit of the job holds for as well
 * ("RH max [%]", "Spread [K]").
 */
#ifndef MILRISE_NORMALISE_PHRASE_OBJECTING_WORDS_H
#define MILRISE_NORMALISE_PHRASE_OBJECTING_WORDS_H

#include "milrise/normalise.h"

enum mr_objecting {
    MR_OBJECTING_NONE,
    MR_OBJECTING_ALARM,    /* anything but "none" objects */
    MR_OBJECTING_PERMIT,   /* "no" objects */
    MR_OBJECTING_EVENT,    /* "yes" objects */
    MR_OBJECTING_REST,     /* of the lines: a machine that stands still objects to a coat */
    MR_OBJECTING_WEATHER,  /* of a spray log, any heading: words of water object */
    MR_OBJECTING_TEXT,     /* any other heading: a failed verdict objects */
    MR_OBJECTING_RH,       /* a humidity, of the climate; likewise below */
    MR_OBJECTING_SPREAD,   /* steel above dew point */
    MR_OBJECTING_STEEL,    /* a least steel temperature; of a spray log, the steel's */
    MR_OBJECTING_DEW,      /* a dew or frost point */
    MR_OBJECTING_AIR,      /* of a spray log */
    MR_OBJECTING_WET_BULB, /* beside the air temperature of the row */
    MR_OBJECTING_RATIO, /* of the lines or a coat: part A over part B, as the machine counts them, or their pressures
                         */
    MR_OBJECTING_LEAST, /* of one line: the least since the row before; likewise the greatest */
    MR_OBJECTING_GREATEST,
    MR_OBJECTING_APART, /* of the two lines: what parts them */
    MR_OBJECTING_COUNT
};

/** mr_objecting_of - how a column that is not read may object. words: the folded heading, unit and all. A spray log
 * has figures, as the crew wrote them down, and words of the weather; other words are heard as those of a coat
 * (companion_words.h). */
enum mr_objecting mr_objecting_of(enum mr_kind kind, const char *words);

/** mr_is_judged_figure - whether figures under such a heading are held against a limit. */
bool mr_is_judged_figure(enum mr_kind kind, const char *words);

/** mr_line_of_words - the line of which a column of MR_OBJECTING_LEAST or _GREATEST speaks. words: folded. */
enum mr_meaning mr_line_of_words(const char *words);

/** mr_cell_objects - whether a cell of words does, under such a heading. words: folded. */
bool mr_cell_objects(enum mr_objecting objecting, const char *words);

#endif
