/*
 * chart_axes.h - what all charts share: page, panels, axes with 1-2-5 ticks, time axes, series with gaps, notes,
 * colours.
 */
#ifndef MILRISE_RENDER_PLOT_CHART_AXES_H
#define MILRISE_RENDER_PLOT_CHART_AXES_H

#include "milrise/assess.h"
#include "render/draw/draw_list.h"

/* Colours that stay apart for colour-blind readers, after the set of Okabe and Ito, "Color Universal Design", 2008,
 * darkened until each stands at 3:1 or more before white (WCAG 2.1, 1.4.11), those of text at 4.5:1 (1.4.3). No
 * colour is ever the only difference: series have a dash or a mark of their own, failures a hatch. */
#define MR_INK_BLACK ((struct mr_ink){0x1a, 0x1a, 0x1a})
#define MR_INK_GREY ((struct mr_ink){0x5e, 0x5e, 0x5e})
#define MR_INK_LINE ((struct mr_ink){0xb8, 0xb8, 0xb8})
#define MR_INK_SHADE ((struct mr_ink){0xec, 0xf1, 0xf5})
#define MR_INK_BAND ((struct mr_ink){0xde, 0xeb, 0xf5})
#define MR_INK_BLUE ((struct mr_ink){0x00, 0x72, 0xb2})
#define MR_INK_NAVY ((struct mr_ink){0x00, 0x3f, 0x6b})
#define MR_INK_PALE ((struct mr_ink){0xb8, 0xd8, 0xee})
#define MR_INK_RED ((struct mr_ink){0xb8, 0x4a, 0x00})
#define MR_INK_ORANGE ((struct mr_ink){0xc0, 0x64, 0x18})
#define MR_INK_ROSE ((struct mr_ink){0xf9, 0xe3, 0xd4})
#define MR_INK_GREEN ((struct mr_ink){0x00, 0x7f, 0x5c})
#define MR_INK_AMBER ((struct mr_ink){0xa0, 0x6a, 0x00})
#define MR_INK_PURPLE ((struct mr_ink){0x94, 0x44, 0x7a})

/* Type sizes in points. */
#define MR_SIZE_TITLE 11.0
#define MR_SIZE_SUB 8.5
#define MR_SIZE_LABEL 8.0
#define MR_SIZE_TICK 7.5
#define MR_SIZE_NOTE 7.5
#define MR_SIZE_CAPTION 7.5 /* the smallest on a page of the workbook (book_page.c) */

#define MR_PAGE_W 504.0     /* 7 in: the report's figures, where no size is asked for */
#define MR_PAGE_H 324.0     /* 4.5 in */
#define MR_PAGE_FOOT 44.0   /* height kept for the caption */
#define MR_TOLD_LINE_PT 8.8 /* a line of what is told below the plot */

/* A size by name, in points (figures.h lists them). A figure whose list or lanes need more height grows. */
struct mr_figure_size {
    const char *name;
    double w_pt, h_pt;
};

struct mr_chart_job { /* what every chart of one job needs */
    struct mr_arena *arena;
    const struct mr_assessment *a;
    struct mr_display display;
    const char *job_name;
    const char *stands;                /* since when figures stand as they are: "since revision 0" */
    const struct mr_figure_size *size; /* NULL: the report's */
    unsigned *number;                  /* of the last figure made; NULL: figures carry no number */
};

/* A rectangle on the page and the values its edges stand for. */
struct mr_panel {
    double x, y, w, h;
    double x0, x1; /* at the left and right edge */
    double y0, y1; /* at the bottom and top edge */
};
double mr_panel_x(const struct mr_panel *panel, double value);
double mr_panel_y(const struct mr_panel *panel, double value);

/* Round ticks: first, step of 1, 2 or 5 times a power of ten, count, decimals needed. */
struct mr_ticks {
    double first, step;
    size_t n;
    int decimals;
};

/** mr_ticks_make - at most max_n ticks inside lo to hi (lo < hi, finite). */
struct mr_ticks mr_ticks_make(double lo, double hi, size_t max_n);

/** mr_widen - let lo..hi hold a value; NaN and infinity widen nothing. Begin with HUGE_VAL and -HUGE_VAL. */
void mr_widen(double *lo, double *hi, double value);

/** mr_range_pad - widen lo..hi by share of its length on both sides; a point gets least on both sides. */
void mr_range_pad(double *lo, double *hi, double share, double least);

/** mr_page - an empty page of the job's size, but at least height_pt high (0: as the size says), with title and
 * subtitle. */
struct mr_drawlist *mr_page(const struct mr_chart_job *job, double height_pt, const char *title,
                            const char *subtitle);

/** mr_page_named - the same with a zone's name and what the figure shows as title ("Deck", ": film thickness"); a
 * name that has to be cut stands in full below the plot. The list's title is whole. */
struct mr_drawlist *mr_page_named(const struct mr_chart_job *job, double height_pt, const char *name,
                                  const char *words, const char *subtitle);

/** mr_page_ends - nothing more is drawn below y: unless a size was asked for, the page ends there too. */
void mr_page_ends(const struct mr_chart_job *job, struct mr_drawlist *list, double y);

/** mr_part_title - a title with "part 2 of 3" where there are several. */
const char *mr_part_title(const struct mr_chart_job *job, const char *title, size_t part, size_t parts);

/** mr_page_end - below all that is drawn, which ends MR_PAGE_FOOT above the page's foot: what the plot had to cut or
 * number, in full (the page grows for it), then the caption: number, job, since when, sources, limit of use. Nothing
 * is drawn after it. */
void mr_page_end(const struct mr_chart_job *job, struct mr_drawlist *list, const char *sources);

/** mr_page_stands - set the caption of a finished page anew, with other words on since when it stands. */
void mr_page_stands(struct mr_drawlist *list, const char *stands);

/** mr_cut_name - a name cut to width; one that is cut is told in full below the plot. */
const char *mr_cut_name(struct mr_drawlist *list, const char *name, double size, bool bold, double width);

/** mr_page_width, mr_page_height - of the job's size, in points. */
double mr_page_width(const struct mr_chart_job *job);
double mr_page_height(const struct mr_chart_job *job);

/** mr_axis_left, mr_axis_bottom - line, ticks (two at least), light grid, label. The same for counts: ticks at whole
 * numbers only, at the bottom without grid. */
void mr_axis_left(struct mr_drawlist *list, const struct mr_panel *panel, const char *label);
void mr_axis_bottom(struct mr_drawlist *list, const struct mr_panel *panel, const char *label, bool grid);
void mr_axis_left_counts(struct mr_drawlist *list, const struct mr_panel *panel, const char *label);
void mr_axis_bottom_counts(struct mr_drawlist *list, const struct mr_panel *panel, const char *label);

/** mr_axis_time - x0 and x1 are UTC ms; labels are the job's wall clock with the offset from UTC that holds at x0.
 *  with_labels false: ticks and grid only, for an upper panel. */
void mr_axis_time(struct mr_drawlist *list, const struct mr_panel *panel, const struct mr_chart_job *job,
                  bool with_labels);

/** mr_panel_frame - thin outline over everything drawn in the panel. */
void mr_panel_frame(struct mr_drawlist *list, const struct mr_panel *panel);

/* A limit or reference line across a panel; nothing where value lies outside it. */
void mr_level(struct mr_drawlist *list, const struct mr_panel *panel, struct mr_ink ink, enum mr_dash dash,
              double value);

/* A series over time in a panel. */
struct mr_series {
    size_t n;
    const int64_t *t_utc_ms;
    const double *value;  /* canonical */
    enum mr_unit unit;    /* shown */
    int64_t max_gap_ms;   /* a longer pause breaks the line; INT64_MAX = never */
    int64_t t0_ms, t1_ms; /* only samples inside; inclusive */
};

/** mr_series_track - the k-th track of a meaning (from 0) that has samples from t0 to t1, or NULL. */
const struct mr_track *mr_series_track(const struct mr_alignment *aligned, int64_t t0, int64_t t1,
                                       enum mr_meaning meaning, size_t k);

/** mr_series_of_track - the samples of a track from t0 to t1, copied into arena. */
struct mr_series mr_series_of_track(struct mr_arena *arena, const struct mr_track *track, enum mr_unit unit,
                                    int64_t max_gap_ms, int64_t t0_ms, int64_t t1_ms);

/** mr_series_line - first, least, greatest and last value per narrow column, so that the picture is that of every
 *  point but its size does not grow with the log. Gaps and missing values that are wider than such a column break the
 * line; a lone sample is a dot. */
void mr_series_line(struct mr_drawlist *list, const struct mr_panel *panel, const struct mr_series *series,
                    struct mr_ink ink, double pen, enum mr_dash dash);

/** mr_series_dots - least and greatest value per narrow column as dots. */
void mr_series_dots(struct mr_drawlist *list, const struct mr_panel *panel, const struct mr_series *series,
                    struct mr_ink ink, double size);

/** mr_series_range - widens lo..hi (shown unit) by the samples inside. Returns: samples seen. */
size_t mr_series_range(const struct mr_series *series, double *lo, double *hi);

struct mr_note {
    const char *name, *value; /* value NULL: a heading */
};

/** mr_notes - a column of name and value pairs, cut to fit w. Returns: y below the last row. */
double mr_notes(struct mr_drawlist *list, double x, double y, double w, size_t n, const struct mr_note *notes);

struct mr_legend {
    const char *text;
    struct mr_ink ink;
    enum mr_dash dash;
    double pen; /* 0: mark */
    enum mr_mark mark;
};
/** mr_legend_row - entries side by side from x to at most x + w, in rows. Returns: y of the last baseline. */
double mr_legend_row(struct mr_drawlist *list, double x, double y, double w, size_t n,
                     const struct mr_legend *entries);

/* Texts. */
const char *mr_shown(struct mr_arena *arena, double canonical, enum mr_unit unit,
                     int decimals); /* "10.2 mil", "not known" */
const char *mr_short_text(struct mr_arena *arena, double canonical,
                          enum mr_unit unit); /* as short as it is exact to 0.01 */
const char *mr_figure_text(struct mr_arena *arena, double value, int decimals);
int mr_unit_decimals(enum mr_unit unit); /* sensible decimals for a figure shown in this unit */
const char *mr_clock_text(const struct mr_chart_job *job, int64_t t_utc_ms, bool seconds); /* "14:03" */
const char *mr_day_text(const struct mr_chart_job *job, int64_t t_utc_ms);                 /* "2026-05-11" */
const char *mr_offset_text(const struct mr_chart_job *job, int64_t t_utc_ms);              /* "UTC+02:00" */
const char *mr_zone_name(const struct mr_assessment *a, size_t zone); /* "whole job" for MR_NONE */
struct mr_ink mr_outcome_ink(enum mr_outcome outcome);
enum mr_mark mr_outcome_mark(enum mr_outcome outcome); /* the same shape in every figure */
/* "3.20 ± 0.03 °F": both numbers end at the same place, the second digit of a small interval (GUM 7.2.6). Without an
 * interval the value alone. */
const char *mr_rise_text(struct mr_arena *arena, enum mr_unit unit, double rise_k, double half_k);

/* A set of file paths for a caption, each once, in order of first mention. */
struct mr_sources_text {
    MR_VEC(const char *) path;
};
void mr_source_add(const struct mr_chart_job *job, struct mr_sources_text *set, const char *path);
void mr_source_track(const struct mr_chart_job *job, struct mr_sources_text *set, const struct mr_track *track,
                     int64_t t0_utc_ms, int64_t t1_utc_ms);
const char *mr_source_list(const struct mr_chart_job *job, const struct mr_sources_text *set);

#endif
