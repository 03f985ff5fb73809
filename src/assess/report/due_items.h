/*
 * due_items.h - which items of a shift record are due before the first trigger pull.
 */
#ifndef MILRISE_ASSESS_REPORT_DUE_ITEMS_H
#define MILRISE_ASSESS_REPORT_DUE_ITEMS_H

#include "assess/finding/assessment.h"

/** mr_item_on_list - whether a setting's list, separated by commas, has an item; folded: the item, folded. */
bool mr_item_on_list(struct mr_arena *arena, const char *list, const char *folded);

/** mr_item_is_due - whether an item is due before the first trigger pull: the job's own list says so; where it states
 * none, the item's words do. */
bool mr_item_is_due(struct mr_arena *arena, const struct mr_settings *settings, const char *folded);

/** mr_holds_words - whether a folded text holds words whole, in their order. */
bool mr_holds_words(const char *text, const char *words);

#endif
