/*
 * live_recipes.c - which columns of which tables are formulas.
 */
#include "render/book/live.h"

#include <string.h>

const struct mr_recipe **mr_recipes_of(struct mr_live *l, const struct mr_table *t) {
    static const struct mr_recipe *const books[] = {mr_reading_recipes, mr_film_recipes, mr_limit_recipes,
                                                    mr_check_recipes,   mr_wet_recipes,  mr_other_recipes,
                                                    mr_typed_recipes};
    const struct mr_recipe **by_column = MR_ARRAY(l->arena, const struct mr_recipe *, t->n_fields);
    for (size_t b = 0; !mr_many_zones(l->o) && b < MR_COUNT(books); b++) {
        for (const struct mr_recipe *r = books[b]; r->table; r++) {
            if (strcmp(r->table, t->id) != 0)
                continue;
            const size_t c = mr_find_column(t, r->column);
            if (c == MR_NONE && strncmp(r->column, "mean_to_", 8) == 0)
                continue; /* only where spots have more readings than they need */
            if (c == MR_NONE)
                mr_live_note_lost(l, r->table, r->column);
            else
                by_column[c] = r;
        }
    }
    return by_column;
}
