/*
 * material.h - what material.c and lots.c share.
 */
#ifndef MILRISE_ASSESS_MATERIAL_MATERIAL_H
#define MILRISE_ASSESS_MATERIAL_MATERIAL_H

#include "assess/finding/caution.h"
#include "assess/finding/finding_text.h"

/** mr_assess_lots - lots and shelf dates traced to zones and coats (lots.c). */
void mr_assess_lots(struct mr_assess *a);

#endif
