/*
 * settings.h - every limit, default and switch that a job may change, in one list.
 *
 * A job file names them as `key = value` under `[section]`; `[section "NAME"]` changes them for the zones whose
 * specification in the zone register is NAME. Each value remembers where it came from, so that the report can say
 * which were in force and whether each was the default or the job's own.
 *
 * Adding one: a row here, its use in one stage, a line in templates/job/job.milrise. The defaults marked
 * "common practice" have no published source.
 */
#ifndef MILRISE_SETTINGS_H
#define MILRISE_SETTINGS_H

#include "milrise/units.h"

enum mr_setting_type { MR_SETTING_NUMBER, MR_SETTING_TEXT, MR_SETTING_FLAG };

#define MR_SRC_CP "common practice, no source"
#define MR_SRC_PD "project decision"
#define MR_SRC_JOB "the job must state it"

/* id, section, key, type, dimension, default as a job would write it ("" = none), meaning, where the default is from
 */
#define MR_SETTING_LIST(X)                                                                                           \
    /* thickness */                                                                                                  \
    X(MR_DFT_MIN, "thickness", "minimum", NUMBER, FILM, "", "specified minimum dry film thickness of the system",    \
      MR_SRC_JOB)                                                                                                    \
    X(MR_DFT_MAX, "thickness", "maximum", NUMBER, FILM, "", "specified maximum dry film thickness of the system",    \
      MR_SRC_JOB)                                                                                                    \
    X(MR_DFT_COAT_MIN, "thickness", "coat minimum", NUMBER, FILM, "", "specified minimum of one coat", MR_SRC_JOB)   \
    X(MR_DFT_COAT_MAX, "thickness", "coat maximum", NUMBER, FILM, "", "specified maximum of one coat", MR_SRC_JOB)   \
    X(MR_DFT_RULES, "thickness", "rules", TEXT, NONE, "restriction-level-3",                                         \
      "rule sets that must all be met, separated by commas", "SSPC-PA 2 (2012 and later), level 3")                  \
    X(MR_DFT_GAGE_PER_SPOT, "thickness", "readings per spot", NUMBER, NONE, "3", "gauge readings that make a spot",  \
      "SSPC-PA 2 section 3.2 (2012)")                                                                                \
    X(MR_DFT_SPOT_PER_AREA, "thickness", "spots per area", NUMBER, NONE, "5", "spots that make an area",             \
      "SSPC-PA 2 section 8.2 (2015)")                                                                                \
    X(MR_DFT_AREAS_REQUIRED, "thickness", "areas required", NUMBER, NONE, "",                                        \
      "complete areas that each zone needs, in addition to what the rules require", MR_SRC_JOB)                      \
    X(MR_DFT_READINGS_REQUIRED, "thickness", "readings required", NUMBER, NONE, "",                                  \
      "readings that each zone needs, in addition to what the rules require", MR_SRC_JOB)                            \
    X(MR_DFT_PER_SHIFT, "thickness", "areas per shift", NUMBER, NONE, "",                                            \
      "complete areas for each shift in which the film was sprayed last", MR_SRC_JOB)                                \
    X(MR_DFT_ON_EDGES, "thickness", "edge measurements", NUMBER, NONE, "",                                           \
      "spots on edges (readings, where no rule in force groups them into spots)", MR_SRC_JOB)                        \
    X(MR_DFT_ON_WELDS, "thickness", "weld measurements", NUMBER, NONE, "", "the same on welds", MR_SRC_JOB)          \
    X(MR_DFT_ON_STIFFENERS, "thickness", "stiffener measurements", NUMBER, NONE, "", "the same on stiffeners",       \
      MR_SRC_JOB)                                                                                                    \
    X(MR_DFT_ON_BEAMS, "thickness", "beam measurements", NUMBER, NONE, "", "the same on beams", MR_SRC_JOB)          \
    X(MR_DFT_ON_PIPES, "thickness", "pipe measurements", NUMBER, NONE, "", "the same on pipes", MR_SRC_JOB)          \
    X(MR_DFT_EDGE_LENGTH, "thickness", "edge length", NUMBER, LENGTH, "",                                            \
      "length of the edges, for the pattern of points of the 90-10 rule", MR_SRC_JOB)                                \
    X(MR_DFT_STIFFENER_LENGTH, "thickness", "stiffener length", NUMBER, LENGTH, "",                                  \
      "length of the stiffeners, for that pattern", MR_SRC_JOB)                                                      \
    X(MR_DFT_PRIMARY_MEMBERS, "thickness", "primary members", NUMBER, NONE, "",                                      \
      "number of primary members, for that pattern", MR_SRC_JOB)                                                     \
    X(MR_DFT_OPENINGS, "thickness", "openings", NUMBER, NONE, "", "number of openings, for that pattern",            \
      MR_SRC_JOB)                                                                                                    \
    X(MR_DFT_COMPLEX_AREA, "thickness", "complex area", NUMBER, AREA, "", "area of complex shape, for that pattern", \
      MR_SRC_JOB)                                                                                                    \
    X(MR_DFT_SPOT_GAP, "thickness", "spot gap", NUMBER, DURATION, "120 s",                                           \
      "longest pause inside one spot where the export has no spot ids", MR_SRC_PD)                                   \
    X(MR_DFT_AGAIN, "thickness", "measured again after", NUMBER, DURATION, "30 min",                                 \
      "returning to a spot or an area after a longer pause counts as measuring it again", MR_SRC_PD)                 \
    X(MR_DFT_CORRECTION, "thickness", "correction", TEXT, NONE, "none",                                              \
      "none, base metal, profile fine, profile medium, profile coarse", MR_SRC_JOB)                                  \
    X(MR_DFT_DISCARD, "thickness", "discard unusual readings", FLAG, NONE, "no",                                     \
      "leave out readings that do not repeat, as the rule allows, and list them", "SSPC-PA 2 section 3.2 (2012)")    \
    X(MR_DFT_UNUSUAL, "thickness", "unusual beyond", NUMBER, NONE, "4",                                              \
      "distance from the rest of its spot, in robust standard deviations within spots, that makes a reading "        \
      "unusual",                                                                                                     \
      MR_SRC_PD)                                                                                                     \
    X(MR_DFT_BASE_MIN, "thickness", "base metal readings", NUMBER, NONE, "10",                                       \
      "least number of base metal readings behind a deduction", "SSPC-PA 2, from memory")                            \
    X(MR_DFT_GAUGE_U, "thickness", "gauge uncertainty", TEXT, NONE, "",                                              \
      "expanded uncertainty (k = 2) of the gauge, e.g. 3 % or 2 um", MR_SRC_JOB)                                     \
    X(MR_DFT_CHECK_TOL, "thickness", "verification tolerance", TEXT, NONE, "5 %",                                    \
      "accuracy stated for the gauge, of the certified value", MR_SRC_CP)                                            \
    X(MR_DFT_CHECK_REF, "thickness", "reference tolerance", TEXT, NONE, "1 %",                                       \
      "accuracy stated for the certified shim or plate", MR_SRC_CP)                                                  \
    X(MR_DFT_CHECK_COMBINE, "thickness", "combine tolerances", TEXT, NONE, "root sum of squares",                    \
      "root sum of squares, or sum", "ASTM D7091, from memory")                                                      \
    X(MR_DFT_CHECK_RANGE, "thickness", "verification range", NUMBER, SHARE, "50 %",                                  \
      "how far from the nearest certified value a film may lie, as a share of that value, where it does not lie "    \
      "between two",                                                                                                 \
      MR_SRC_CP)                                                                                                     \
    X(MR_DFT_REF_UNTIL, "thickness", "shims certified until", TEXT, NONE, "",                                        \
      "last day of the certificate of shims or plates, as 2027-02-01", MR_SRC_JOB)                                   \
    X(MR_DFT_CHECK_AGE, "thickness", "verification within", NUMBER, DURATION, "14 h",                                \
      "longest time between a reading and the verifications around it", MR_SRC_PD)                                   \
    X(MR_DFT_CHECK_SESSION, "thickness", "verification session", NUMBER, DURATION, "30 min",                         \
      "longest pause between plates or shims of one verification", MR_SRC_PD)                                        \
    X(MR_DFT_PROBABILITY, "thickness", "conformance probability", NUMBER, SHARE, "95 %",                             \
      "probability of conformance below which a case is called close", MR_SRC_PD)                                    \
    X(MR_DFT_OUTLIER, "thickness", "outlier significance", NUMBER, SHARE, "5 %",                                     \
      "significance of the outlier, normality and runs tests", MR_SRC_PD)                                            \
    X(MR_DFT_CONFIDENCE, "thickness", "confidence", NUMBER, SHARE, "95 %", "confidence of intervals", MR_SRC_PD)     \
    X(MR_DFT_COVERAGE, "thickness", "tolerance interval share", NUMBER, SHARE, "95 %",                               \
      "share of the film that the tolerance interval holds", MR_SRC_PD)                                              \
    X(MR_DFT_PASS_MIN, "thickness", "pass minimum", NUMBER, FILM, "3 mil", "film of a light pass", MR_SRC_CP)        \
    X(MR_DFT_PASS_MAX, "thickness", "pass maximum", NUMBER, FILM, "6 mil", "film of a heavy pass", MR_SRC_CP)        \
    X(MR_DFT_WET_RATIO, "thickness", "wet to dry ratio", NUMBER, NONE, "",                                           \
      "wet film for one of dry film, as the supplier states it: a forecast of the dry film, never a judgement",      \
      MR_SRC_JOB)                                                                                                    \
    X(MR_DFT_8020_STRICT, "thickness", "80-20 strict", FLAG, NONE, "yes",                                            \
      "yes: fewer than 20 % below the minimum; no: at most 20 %",                                                    \
      "ISO 19840 as summarised by Vereniging Qualion, 2012")                                                         \
    /* climate */                                                                                                    \
    X(MR_CLIMATE_REQUIRED, "climate", "required", FLAG, NONE, "yes", "whether climate is judged", MR_SRC_PD)         \
    X(MR_SPREAD_MIN, "climate", "dew-point spread minimum", NUMBER, RISE, "3 K",                                     \
      "least steel temperature above dew point", "ISO 8502-4; FHWA-RD-98-084")                                       \
    X(MR_RH_MAX, "climate", "humidity maximum", NUMBER, SHARE, "85 %", "greatest relative humidity", MR_SRC_CP)      \
    X(MR_AIR_MIN, "climate", "air minimum", NUMBER, TEMP, "", "least air temperature", MR_SRC_JOB)                   \
    X(MR_AIR_MAX, "climate", "air maximum", NUMBER, TEMP, "", "greatest air temperature", MR_SRC_JOB)                \
    X(MR_STEEL_MIN, "climate", "steel minimum", NUMBER, TEMP, "", "least steel temperature", MR_SRC_JOB)             \
    X(MR_STEEL_MAX, "climate", "steel maximum", NUMBER, TEMP, "",                                                    \
      "greatest steel temperature before the material lands", MR_SRC_JOB)                                            \
    X(MR_CLIMATE_LEAD, "climate", "lead time", NUMBER, DURATION, "0 min",                                            \
      "time before a window for which the limits hold", MR_SRC_JOB)                                                  \
    X(MR_CLIMATE_CURE, "climate", "cure time", NUMBER, DURATION, "0 min",                                            \
      "time after a window for which the limits hold", MR_SRC_JOB)                                                   \
    X(MR_CLIMATE_GAP, "climate", "greatest gap", NUMBER, DURATION, "15 min",                                         \
      "longest gap that is interpolated across", MR_SRC_PD)                                                          \
    X(MR_CLIMATE_COVER, "climate", "coverage minimum", NUMBER, SHARE, "95 %",                                        \
      "least share of the time that data must cover", MR_SRC_PD)                                                     \
    X(MR_CLIMATE_RESPONSE, "climate", "sensor response", NUMBER, DURATION, "60 s",                                   \
      "time of response of the sensors: a shorter excursion is reported separately, not counted as out of limits",   \
      MR_SRC_CP)                                                                                                     \
    X(MR_CLIMATE_U_TEMP, "climate", "temperature uncertainty", NUMBER, RISE, "",                                     \
      "expanded uncertainty (k = 2) of air and steel temperature", MR_SRC_JOB)                                       \
    X(MR_CLIMATE_U_RH, "climate", "humidity uncertainty", NUMBER, SHARE, "",                                         \
      "expanded uncertainty (k = 2) of relative humidity, in points of it", MR_SRC_JOB)                              \
    X(MR_CLIMATE_OUT_MAX, "climate", "time out maximum", NUMBER, DURATION, "0 min",                                  \
      "time out of limits that is tolerated", MR_SRC_JOB)                                                            \
    X(MR_DEW_DIFFER, "climate", "dew-point difference", NUMBER, RISE, "1 K",                                         \
      "mean difference between logged and computed dew point that is a finding", MR_SRC_PD)                          \
    /* reaction */                                                                                                   \
    X(MR_REACTION_REQUIRED, "reaction", "required", FLAG, NONE, "yes", "whether each coat must show its heat",       \
      MR_SRC_PD)                                                                                                     \
    X(MR_RISE_MIN, "reaction", "rise minimum", NUMBER, RISE, "8 degF", "least rise of a normal film", MR_SRC_CP)     \
    X(MR_RISE_MAX, "reaction", "rise maximum", NUMBER, RISE, "10 degF", "greatest rise of a normal film", MR_SRC_CP) \
    X(MR_RISE_STEEL, "reaction", "band for steel", NUMBER, LENGTH, "", "steel thickness for which the band holds",   \
      MR_SRC_JOB)                                                                                                    \
    X(MR_RISE_FILM, "reaction", "band for film", NUMBER, FILM, "",                                                   \
      "film of one coat for which the band holds; none = the raw film is not scaled", MR_SRC_JOB)                    \
    X(MR_RISE_LOSS, "reaction", "band for heat loss", NUMBER, NONE, "",                                              \
      "heat loss of the steel over both faces, in W/m2K, for which the band holds; none = as the job's coats show",  \
      MR_SRC_JOB)                                                                                                    \
    X(MR_RISE_TIME, "reaction", "band for reaction time", NUMBER, DURATION, "",                                      \
      "time in which the film gives off 63 % of its heat, for which the band holds; none = as the job's coats show", \
      MR_SRC_JOB)                                                                                                    \
    X(MR_RISE_NONE, "reaction", "no reaction below", NUMBER, RISE, "1 K", "a rise smaller than this is no reaction", \
      MR_SRC_PD)                                                                                                     \
    X(MR_RISE_LATE, "reaction", "late after", NUMBER, DURATION, "10 min",                                            \
      "an onset later than this after the window opens is late", MR_SRC_PD)                                          \
    X(MR_RISE_SLOWEST, "reaction", "slowest rise", NUMBER, DURATION, "30 min",                                       \
      "longest time from onset to peak that still is a reaction and not drift", MR_SRC_PD)                           \
    X(MR_RISE_COVER, "reaction", "coverage minimum", NUMBER, SHARE, "80 %",                                          \
      "least share of the time from the window's opening until a late onset that data must cover to say that "       \
      "nothing "                                                                                                     \
      "reacted",                                                                                                     \
      MR_SRC_PD)                                                                                                     \
    X(MR_RISE_AGAINST, "reaction", "rise against thickness", TEXT, NONE, "where possible",                           \
      "yes, no, or where possible: whether each zone's heat must fit its film", MR_SRC_PD)                           \
    X(MR_RISE_ZONES, "reaction", "zones at least", NUMBER, NONE, "6",                                                \
      "fewest zones with heat, film and steel thickness for rise against thickness", MR_SRC_PD)                      \
    X(MR_RISE_HEAT_SE, "reaction", "heat uncertainty maximum", NUMBER, SHARE, "10 %",                                \
      "a zone whose heat has a larger standard error takes no part in rise against thickness", MR_SRC_PD)            \
    X(MR_RISE_PREDICTION, "reaction", "prediction share", NUMBER, SHARE, "99 %",                                     \
      "width of the band of rise against thickness, over the whole job", MR_SRC_PD)                                  \
    X(MR_FILM_DENSITY, "reaction", "film density", NUMBER, NONE, "1900", "density of the film in kg/m3", MR_SRC_CP)  \
    X(MR_FILM_HEAT, "reaction", "film specific heat", NUMBER, NONE, "1000", "specific heat of the film in J/kgK",    \
      MR_SRC_CP)                                                                                                     \
    /* lines */                                                                                                      \
    X(MR_LINES_REQUIRED, "lines", "required", FLAG, NONE, "yes", "whether line pressures are judged", MR_SRC_PD)     \
    X(MR_MAIN_MIN, "lines", "main minimum", NUMBER, PRESSURE, "80 psi", "least main pressure while spraying",        \
      MR_SRC_CP)                                                                                                     \
    X(MR_MAIN_MAX, "lines", "main maximum", NUMBER, PRESSURE, "90 psi", "greatest main pressure while spraying",     \
      MR_SRC_CP)                                                                                                     \
    X(MR_IMBALANCE_MAX, "lines", "imbalance maximum", NUMBER, SHARE, "10 %",                                         \
      "greatest difference between the lines, of their mean, held for the event time", MR_SRC_PD)                    \
    X(MR_RIPPLE_MAX, "lines", "ripple maximum", NUMBER, SHARE, "5 %",                                                \
      "greatest standard deviation of a line while spraying, of its mean", MR_SRC_PD)                                \
    X(MR_LINE_EVENT_TIME, "lines", "event time", NUMBER, DURATION, "3 s",                                            \
      "how long a line must be off to make an event", MR_SRC_PD)                                                     \
    X(MR_DROPOUT_BELOW, "lines", "dropout below", NUMBER, SHARE, "50 %",                                             \
      "a line under this share of its median in the window has dropped out", MR_SRC_PD)                              \
    X(MR_SURGE_ABOVE, "lines", "surge above", NUMBER, SHARE, "130 %",                                                \
      "a line over this share of its median in the window surges", MR_SRC_PD)                                        \
    X(MR_PAUSE_MAX, "lines", "pause maximum", NUMBER, DURATION, "5 min", "longest pause with charged lines",         \
      MR_SRC_CP)                                                                                                     \
    X(MR_RELIEVED_BELOW, "lines", "relieved below", NUMBER, PRESSURE, "10 psi",                                      \
      "lines under this pressure count as relieved", MR_SRC_PD)                                                      \
    X(MR_RELIEF_TIME, "lines", "relieved for", NUMBER, DURATION, "10 s",                                             \
      "how long both lines and the main must stay down together to count as relieved", MR_SRC_CP)                    \
    X(MR_CLEANOUT_AFTER, "lines", "clean-out after", NUMBER, DURATION, "5 h",                                        \
      "a pause longer than this needs a full clean-out", MR_SRC_CP)                                                  \
    X(MR_WATER_TEST, "lines", "water test", NUMBER, PRESSURE, "30 psi",                                              \
      "pressure of the water test before the shift", MR_SRC_CP)                                                      \
    X(MR_WATER_TOL, "lines", "water test tolerance", NUMBER, SHARE, "20 %",                                          \
      "how far under the water test's pressure still counts as near it", MR_SRC_PD)                                  \
    X(MR_LINE_GAP, "lines", "greatest gap", NUMBER, DURATION, "30 s",                                                \
      "longest time between two samples of a line that is not a gap", MR_SRC_PD)                                     \
    X(MR_LINE_COVER, "lines", "coverage minimum", NUMBER, SHARE, "90 %",                                             \
      "least share of a window that line pressures must cover", MR_SRC_PD)                                           \
    X(MR_LINE_SETTLE, "lines", "settling time", NUMBER, DURATION, "10 s",                                            \
      "time after the lines come up, before they go down, and around a dropout, that is not judged for balance and " \
      "ripple",                                                                                                      \
      MR_SRC_PD)                                                                                                     \
    X(MR_PAUSE_FROM, "lines", "pause from", NUMBER, DURATION, "60 s",                                                \
      "both lines down together for longer than this inside a window are a pause, for less a dropout", MR_SRC_PD)    \
    /* material */                                                                                                   \
    X(MR_MATERIAL_REQUIRED, "material", "required", FLAG, NONE, "no", "whether the material log is judged",          \
      MR_SRC_PD)                                                                                                     \
    X(MR_RATIO, "material", "ratio", NUMBER, NONE, "1", "part A by volume for one of part B", MR_SRC_CP)             \
    X(MR_RATIO_TOL, "material", "ratio tolerance", NUMBER, SHARE, "5 %", "greatest departure from the ratio",        \
      MR_SRC_CP)                                                                                                     \
    X(MR_LOSS_MAX, "material", "loss maximum", NUMBER, SHARE, "",                                                    \
      "greatest share of the material not found on the steel", MR_SRC_JOB)                                           \
    X(MR_SOLIDS, "material", "solids by volume", NUMBER, SHARE, "100 %",                                             \
      "dry film from a volume of mixed material; the film hardly shrinks", MR_SRC_CP)                                \
    X(MR_DENSITY_A, "material", "density A", NUMBER, NONE, "",                                                       \
      "density of part A in kg/L, needed where the log weighs", MR_SRC_JOB)                                          \
    X(MR_DENSITY_B, "material", "density B", NUMBER, NONE, "",                                                       \
      "density of part B in kg/L, needed where the log weighs", MR_SRC_JOB)                                          \
    /* shift record */                                                                                               \
    X(MR_SHIFT_ITEMS, "shift record", "items", TEXT, NONE, "",                                                       \
      "items that each shift must have, separated by commas", MR_SRC_JOB)                                            \
    X(MR_SHIFT_FIRST, "shift record", "before spraying", TEXT, NONE, "",                                             \
      "of these, items due before the first trigger pull; if not stated, those that say so", MR_SRC_CP)              \
    X(MR_SHIFT_BREAK, "shift record", "new shift after", NUMBER, DURATION, "6 h",                                    \
      "a pause that ends one shift and begins the next", MR_SRC_PD)                                                  \
    /* alignment */                                                                                                  \
    X(MR_CLOCK_FINDING, "alignment", "clock finding above", NUMBER, DURATION, "60 s",                                \
      "estimated clock error that is a finding, if it is above half of this even less its spread", MR_SRC_PD)        \
    X(MR_CLOCK_APPLY, "alignment", "apply estimated clocks", FLAG, NONE, "no", "correct clocks by the estimate",     \
      MR_SRC_PD)                                                                                                     \
    X(MR_CLOCK_SEARCH, "alignment", "clock search", NUMBER, DURATION, "3 h",                                         \
      "largest clock error that is looked for", MR_SRC_PD)                                                           \
    X(MR_CLOCK_EVENTS, "alignment", "clock events", NUMBER, NONE, "6",                                               \
      "fewest matched events behind an estimate of a clock", MR_SRC_PD)                                              \
    X(MR_CLOCK_TOLERANCE, "alignment", "clock tolerance", NUMBER, DURATION, "60 s",                                  \
      "how accurate hand-kept starts and stops are taken to be when clocks are compared", MR_SRC_PD)                 \
    X(MR_ONSET_LAG, "alignment", "onset lag", NUMBER, DURATION, "60 s",                                              \
      "longest time from the landing of material to the onset that a probe shows", MR_SRC_PD)                        \
    X(MR_ONSET_RISE, "alignment", "onset rise", NUMBER, RISE, "1 K",                                                 \
      "least warming within five minutes that counts as an onset when clocks are compared or windows are found",     \
      MR_SRC_PD)                                                                                                     \
    X(MR_ACTIVE_SHARE, "alignment", "gun active above", NUMBER, SHARE, "50 %",                                       \
      "a line over this share of its working pressure (its 90th percentile) is taken for a pulled trigger",          \
      MR_SRC_PD)                                                                                                     \
    X(MR_ACTIVE_PAUSE, "alignment", "gun pause", NUMBER, DURATION, "60 s",                                           \
      "a shorter drop of line pressure does not end an activity of the gun", MR_SRC_PD)                              \
    X(MR_WINDOW_GAP, "alignment", "window gap", NUMBER, DURATION, "10 min",                                          \
      "a pause at the gun that ends a window found in the data", MR_SRC_PD)                                          \
    X(MR_SURVEY_GAP, "alignment", "survey gap", NUMBER, DURATION, "8 h",                                             \
      "a pause between readings of one zone that begins a new survey", MR_SRC_PD)                                    \
    /* plausibility: what instruments on site can show; outside, a value is left out or flagged */                   \
    X(MR_PLAUSIBLE_AIR_MIN, "plausibility", "air minimum", NUMBER, TEMP, "-60 degC",                                 \
      "a lower air or dew point temperature is left out", MR_SRC_PD)                                                 \
    X(MR_PLAUSIBLE_AIR_MAX, "plausibility", "air maximum", NUMBER, TEMP, "70 degC",                                  \
      "a higher air or dew point temperature is left out", MR_SRC_PD)                                                \
    X(MR_PLAUSIBLE_PROBE_MIN, "plausibility", "probe minimum", NUMBER, TEMP, "-80 degC",                             \
      "a lower steel or probe temperature is left out", MR_SRC_PD)                                                   \
    X(MR_PLAUSIBLE_PROBE_MAX, "plausibility", "probe maximum", NUMBER, TEMP, "400 degC",                             \
      "a higher steel or probe temperature is left out", MR_SRC_PD)                                                  \
    X(MR_PLAUSIBLE_STEEL_MAX, "plausibility", "steel maximum", NUMBER, TEMP, "80 degC",                              \
      "a higher steel temperature in a hygrometer's log is left out", MR_SRC_CP)                                     \
    X(MR_PLAUSIBLE_RH_MIN, "plausibility", "humidity minimum", NUMBER, SHARE, "0 %", "a lower humidity is left out", \
      MR_SRC_PD)                                                                                                     \
    X(MR_PLAUSIBLE_RH_MAX, "plausibility", "humidity maximum", NUMBER, SHARE, "105 %",                               \
      "a higher humidity is left out", MR_SRC_PD)                                                                    \
    X(MR_PLAUSIBLE_PRESSURE_MIN, "plausibility", "pressure minimum", NUMBER, PRESSURE, "-110 kPa",                   \
      "a lower gauge pressure is left out", MR_SRC_PD)                                                               \
    X(MR_PLAUSIBLE_PRESSURE_MAX, "plausibility", "pressure maximum", NUMBER, PRESSURE, "100 MPa",                    \
      "a higher gauge pressure is left out", MR_SRC_PD)                                                              \
    X(MR_PLAUSIBLE_FILM_MIN, "plausibility", "film minimum", NUMBER, FILM, "-100 um",                                \
      "a lower gauge reading is left out", MR_SRC_PD)                                                                \
    X(MR_PLAUSIBLE_FILM_MAX, "plausibility", "film maximum", NUMBER, FILM, "25 mm",                                  \
      "a higher gauge reading is left out", MR_SRC_PD)                                                               \
    X(MR_USUAL_AIR_MIN, "plausibility", "usual air minimum", NUMBER, TEMP, "-40 degC",                               \
      "a unit that gives lower air temperatures is not inferred", MR_SRC_PD)                                         \
    X(MR_USUAL_AIR_MAX, "plausibility", "usual air maximum", NUMBER, TEMP, "50 degC",                                \
      "a unit that gives higher air temperatures is not inferred", MR_SRC_PD)                                        \
    X(MR_USUAL_PROBE_MIN, "plausibility", "usual probe minimum", NUMBER, TEMP, "-40 degC",                           \
      "a unit that gives lower steel temperatures is not inferred", MR_SRC_PD)                                       \
    X(MR_USUAL_PROBE_MAX, "plausibility", "usual probe maximum", NUMBER, TEMP, "120 degC",                           \
      "a unit that gives higher steel temperatures is not inferred", MR_SRC_PD)                                      \
    X(MR_USUAL_FILM_MIN, "plausibility", "usual film minimum", NUMBER, FILM, "20 um",                                \
      "a unit that gives a thinner film in the middle is not inferred", MR_SRC_PD)                                   \
    X(MR_USUAL_FILM_MAX, "plausibility", "usual film maximum", NUMBER, FILM, "2.5 mm",                               \
      "a unit that gives a thicker film in the middle is not inferred", MR_SRC_PD)                                   \
    X(MR_STUCK_AFTER, "plausibility", "stuck after", NUMBER, DURATION, "3 h",                                        \
      "air temperature or humidity that stays unchanged for longer is flagged", MR_SRC_PD)                           \
    X(MR_STUCK_RH, "plausibility", "humidity in tenths stuck after", NUMBER, DURATION, "30 min",                     \
      "humidity logged in tenths that stays unchanged for longer, and is not saturated, is flagged", MR_SRC_PD)      \
    X(MR_JUMP_TEMP, "plausibility", "temperature jump", NUMBER, RISE, "15 K",                                        \
      "air temperature that changes by more within one minute is flagged", MR_SRC_PD)                                \
    X(MR_JUMP_RH, "plausibility", "humidity jump", NUMBER, SHARE, "40 %",                                            \
      "humidity that changes by more within one minute is flagged", MR_SRC_PD)                                       \
    X(MR_APART_MOST, "plausibility", "steel and air apart", NUMBER, RISE, "40 K",                                    \
      "steel and air of one log that differ by more leave the climate then not shown", MR_SRC_PD)                    \
    X(MR_DRIEST, "plausibility", "driest humidity", NUMBER, SHARE, "5 %",                                            \
      "humidity below it leaves the climate then not shown", MR_SRC_PD)                                              \
    X(MR_GAP_FACTOR, "plausibility", "gap factor", NUMBER, NONE, "5",                                                \
      "a time step this many times the usual one is flagged as a gap", MR_SRC_PD)                                    \
    /* report */                                                                                                     \
    X(MR_REVISION, "report", "revision", NUMBER, NONE, "0",                                                          \
      "number of the first revision; each report with other content gets the next one", MR_SRC_JOB)                  \
    X(MR_KEEP, "report", "keep", NUMBER, NONE, "", "how many revisions are kept; none = all", MR_SRC_JOB)            \
    X(MR_PUBLISHED, "report", "date", TEXT, NONE, "",                                                                \
      "date to print on the report; none = the last moment in the data", MR_SRC_JOB)                                 \
    X(MR_TRACE_ROWS, "report", "alignment rows", NUMBER, NONE, "100000",                                             \
      "how many readings the sheet on alignment lists", MR_SRC_PD)                                                   \
    X(MR_UNITS, "report", "units", TEXT, NONE, "SI", "SI or US", MR_SRC_PD)                                          \
    X(MR_PAPER, "report", "paper", TEXT, NONE, "", "A4 or Letter; none = Letter with US units, else A4", MR_SRC_PD)  \
    X(MR_FIGURES, "report", "figures", TEXT, NONE, "standard",                                                       \
      "kinds of figures in a report, separated by commas; standard or all for several at once", MR_SRC_PD)           \
    X(MR_SERIES, "report", "series", FLAG, NONE, "yes",                                                              \
      "whether every sample of the logs is written as CSV beside the workbook", MR_SRC_PD)                           \
    X(MR_WORDING, "report", "wording", TEXT, NONE, "english",                                                        \
      "words of cover, headings and sign-off: a file wording/NAME.wording", MR_SRC_PD)

enum mr_setting_id {
#define MR_SETTING_NAME(id, section, key, type, dim, initial, meaning, source) id,
    MR_SETTING_LIST(MR_SETTING_NAME)
#undef MR_SETTING_NAME
        MR_SETTING_COUNT
};

struct mr_setting_def {
    const char *section, *key;
    enum mr_setting_type type;
    enum mr_dim dim;
    const char *initial, *meaning, *source;
};

extern const struct mr_setting_def mr_setting_defs[MR_SETTING_COUNT];

struct mr_setting {
    bool set;              /* false: no value ("none" or no default) */
    bool from_job;         /* false: the default is in force */
    double value;          /* canonical unit; NaN where not set; flags are 1 or 0 */
    double written;        /* as written */
    enum mr_unit unit;     /* unit as written */
    const char *text;      /* as written, trimmed; "" where not set */
    struct mr_place place; /* in the job file; file NULL for a default */
};

/* All settings as they hold for one specification. */
struct mr_settings {
    const char *spec; /* name of the specification; "" for the job's own */
    struct mr_setting v[MR_SETTING_COUNT];
};

/** mr_set_num - canonical value, NaN where none. mr_set_text - text, "" where none. mr_set_flag - yes or no. */
double mr_set_num(const struct mr_settings *settings, enum mr_setting_id id);
const char *mr_set_text(const struct mr_settings *settings, enum mr_setting_id id);
bool mr_set_flag(const struct mr_settings *settings, enum mr_setting_id id);

#endif
