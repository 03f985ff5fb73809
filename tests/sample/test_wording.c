/*
 * What a person reads of the sample job: no finding says a sentence twice, nothing says "1 areas", and no uncertainty
 * is printed as zero. Rules of the project (DEVELOPERS.md, "How a message is built"); no outside source.
 */
#include "sample/folders.h"

#include <criterion/criterion.h>
#include <ctype.h>
#include <jansson.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

/* Length of the sentence at p, without its full stop: up to ". " and a capital letter, or the end. A zone and a colon
 * before it are no part of it. */
static size_t sentence(const char *p) {
    for (size_t n = 0;; n++)
        if (!p[n] || (p[n] == '.' && (!p[n + 1] || (p[n + 1] == ' ' && isupper((unsigned char)p[n + 2])))))
            return n;
}

static const char *past_place(const char *p, size_t n) {
    const char *colon = memchr(p, ':', n);
    return colon && colon[1] == ' ' ? colon + 2 : p;
}

static bool says_twice(const char *text) {
    for (const char *p = text; *p; p += sentence(p), p += *p == '.', p += *p == ' ') {
        const char *from = past_place(p, sentence(p));
        size_t n = sentence(from);
        for (const char *q = from + n; *q;) {
            q += *q == '.';
            q += *q == ' ';
            if (n > 8 && sentence(q) == n && strncasecmp(from, q, n) == 0)
                return true;
            q += sentence(q);
        }
    }
    return false;
}

/* "1 areas": the number one before a counted noun in the plural. */
static bool wrong_plural(const char *text) {
    static const char *const nouns[] = {"areas",   "spots", "readings", "rows",     "zones", "coats",  "files",
                                        "samples", "lines", "findings", "channels", "times", "shifts", "passes"};
    for (const char *p = strstr(text, "1 "); p; p = strstr(p + 1, "1 "))
        for (size_t i = 0; i < sizeof nouns / sizeof *nouns; i++) {
            size_t n = strlen(nouns[i]);
            bool lone = p == text || !(isalnum((unsigned char)p[-1]) || p[-1] == '.' || p[-1] == '-');
            if (lone && strncmp(p + 2, nouns[i], n) == 0 && !isalnum((unsigned char)p[2 + n]))
                return true;
        }
    return false;
}

/* "± 0.0 K", "standard error 0.00": a figure that says nothing. */
static bool empty_doubt(const char *text) {
    static const char *const before[] = {"± ", "standard error "};
    for (size_t i = 0; i < sizeof before / sizeof *before; i++)
        for (const char *p = strstr(text, before[i]); p; p = strstr(p + 1, before[i])) {
            const char *figure = p + strlen(before[i]);
            size_t n = strspn(figure, "0.");
            if (n && !isdigit((unsigned char)figure[n]))
                return true;
        }
    return false;
}

Test(sample_wording, the_check_can_fail) {
    cr_expect(says_twice("Zone A, coat 1: the rise is below the band. The rise is below the band. Rise 3 K."));
    cr_expect_not(says_twice("Zone A: too little heat. The rise is below the band. Rise 3 K."));
    cr_expect(wrong_plural("Taken: 1 areas, 7 spots."));
    cr_expect_not(wrong_plural("Taken: 1 area, 21 spots, level 3.1 readings."));
    cr_expect(empty_doubt("Rise 3.2 ± 0.00 K"));
    cr_expect_not(empty_doubt("Rise 3.2 ± 0.03 K"));
}

static void check_text(const char *text) {
    cr_expect_not(says_twice(text), "says it twice: %s", text);
    cr_expect_not(wrong_plural(text), "plural of one: %s", text);
    cr_expect_not(empty_doubt(text), "an uncertainty of zero: %s", text);
}

Test(sample_wording, findings_and_answer, .timeout = 60) {
    char folder[64], path[256];
    folder_make(folder, sizeof folder);
    folder_copy_sample(folder);
    folder_report(folder);
    snprintf(path, sizeof path, "%s/job/reports/latest/report.json", folder);
    json_error_t error;
    json_t *report = json_load_file(path, 0, &error), *finding;
    cr_assert(report != NULL, "%s: %s", path, error.text);
    const json_t *findings = json_object_get(report, "findings");
    cr_assert(json_array_size(findings) > 10);
    size_t i;
    json_array_foreach(findings, i, finding) {
        check_text(json_string_value(json_object_get(finding, "what")));
        const char *next = json_string_value(json_object_get(finding, "next_step"));
        if (next)
            check_text(next);
    }
    json_decref(report);
    size_t n;
    snprintf(path, sizeof path, "%s/job/answer.txt", folder);
    char *answer = folder_slurp(path, &n);
    cr_assert(answer != NULL);
    cr_expect_not(wrong_plural(answer));
    cr_expect_not(empty_doubt(answer));
    free(answer);
    folder_remove(folder);
}
