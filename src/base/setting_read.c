/*
 * settings.c - the table behind settings.h and the reading of one value with its unit.
 */
#include "base/setting_read.h"

#include "base/keyfile.h"
#include "base/text.h"

#include <math.h>
#include <string.h>

const struct mr_setting_def mr_setting_defs[MR_SETTING_COUNT] = {
#define MR_SETTING_ROW(id, section_, key_, type_, dim_, initial_, meaning_, source_)                                 \
    [id] = {.section = section_,                                                                                     \
            .key = key_,                                                                                             \
            .type = MR_SETTING_##type_,                                                                              \
            .dim = MR_DIM_##dim_,                                                                                    \
            .initial = initial_,                                                                                     \
            .meaning = meaning_,                                                                                     \
            .source = source_},
    MR_SETTING_LIST(MR_SETTING_ROW)
#undef MR_SETTING_ROW
};

double mr_set_num(const struct mr_settings *settings, enum mr_setting_id id) {
    return settings->v[id].set ? settings->v[id].value : MR_NAN;
}

const char *mr_set_text(const struct mr_settings *settings, enum mr_setting_id id) {
    return settings->v[id].set ? settings->v[id].text : "";
}

bool mr_set_flag(const struct mr_settings *settings, enum mr_setting_id id) {
    return settings->v[id].set && settings->v[id].value > 0.5;
}

static bool scan_flag(const char *text, double *out) {
    static const char *const yes[] = {"yes", "on", "true"}, *const no[] = {"no", "off", "false"};
    for (size_t i = 0; i < MR_COUNT(yes); i++) {
        bool is_yes = mr_text_equal_fold(text, strlen(text), yes[i], strlen(yes[i]));
        if (is_yes || mr_text_equal_fold(text, strlen(text), no[i], strlen(no[i]))) {
            *out = is_yes ? 1.0 : 0.0;
            return true;
        }
    }
    return false;
}

const char *mr_setting_read(const struct mr_setting_def *def, const char *text, struct mr_setting *out) {
    struct mr_setting s = {.text = text, .value = MR_NAN, .written = MR_NAN};
    const char *wrong = NULL;
    if (!*text || mr_text_equal_fold(text, strlen(text), "none", 4)) {
        s.text = "";
        *out = s;
        return NULL;
    }
    s.set = true;
    switch (def->type) {
    case MR_SETTING_TEXT:
        break;
    case MR_SETTING_FLAG:
        wrong = scan_flag(text, &s.value) ? NULL : "expected yes or no";
        s.written = s.value;
        break;
    case MR_SETTING_NUMBER:
        wrong = mr_scan_quantity(text, strlen(text), &s.unit, (int)def->dim, &s.written);
        if (!wrong)
            s.value = mr_to_canonical(s.unit, s.written);
        break;
    }
    if (!wrong)
        *out = s;
    return wrong;
}

void mr_settings_defaults(struct mr_settings *out) {
    *out = (struct mr_settings){.spec = ""};
    for (size_t i = 0; i < MR_SETTING_COUNT; i++)
        if (mr_setting_read(&mr_setting_defs[i], mr_setting_defs[i].initial, &out->v[i]))
            out->v[i] = (struct mr_setting){.text = "", .value = MR_NAN, .written = MR_NAN};
}
