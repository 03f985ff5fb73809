/*
 * figure_words.h - the kinds of figures by name, in the order of a report, and a job's choice among them.
 */
#ifndef MILRISE_BASE_FIGURE_WORDS_H
#define MILRISE_BASE_FIGURE_WORDS_H

#include "milrise/base.h"

/* id, name in kebab case, whether it is in the standard choice, what it shows */
#define MR_FIGURE_LIST(X)                                                                                            \
    X(MR_FIG_VERDICTS, "verdicts", true, "outcome of every zone by group of checks, as marks in a grid")             \
    X(MR_FIG_ZONES, "zones-compared", true, "spots of every zone side by side, against the limits")                  \
    X(MR_FIG_DAYS, "film-by-day", true, "means of areas over the days on which they were measured")                  \
    X(MR_FIG_THICKNESS, "thickness", true,                                                                           \
      "gauge readings of a zone as a histogram, with limits, mean and spot means")                                   \
    X(MR_FIG_SPOTS, "spots", false, "spots and areas of a zone in order, against the limits of its rule set")        \
    X(MR_FIG_MAP, "film-map", true, "spots of a zone where they were measured; of exports that give positions")      \
    X(MR_FIG_NORMAL, "normal-plot", false, "normal plot of a zone's spots")                                          \
    X(MR_FIG_REPAIR, "before-and-after", true, "areas of a zone before and after their repair")                      \
    X(MR_FIG_REACTION, "reaction", true, "heat of a coat: probe, fitted curve, rise and its band")                   \
    X(MR_FIG_COATS, "coats-from-onset", false, "heat of a zone's coats over the minutes since their onsets")         \
    X(MR_FIG_RISES, "rise-against-thickness", true,                                                                  \
      "rise of all zones against their film, with the prediction band")                                              \
    X(MR_FIG_CLIMATE, "climate", true, "temperatures, dew-point spread and humidity over a shift")                   \
    X(MR_FIG_LINES, "lines", true, "pressures of both lines over a shift")                                           \
    X(MR_FIG_TIMELINE, "shift-timeline", true, "what happened in a shift, in order of time")

enum mr_figure_id {
#define MR_FIGURE_ID(id, name, standard, what) id,
    MR_FIGURE_LIST(MR_FIGURE_ID)
#undef MR_FIGURE_ID
        MR_FIGURE_COUNT
};

struct mr_figure_word {
    const char *name, *what;
    bool standard;
};
extern const struct mr_figure_word mr_figure_words[MR_FIGURE_COUNT];

/** mr_figure_choice - the kinds that a list names, separated by commas; "standard" and "all" name several, an empty
 * list none. chosen is cleared first. *wrong and *wrong_n get the first word that names none. Returns: all are known.
 */
bool mr_figure_choice(const char *list, bool chosen[MR_FIGURE_COUNT], const char **wrong, size_t *wrong_n);

#endif
