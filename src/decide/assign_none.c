/* SPDX-License-Identifier: GPL-3.0-or-later */
/* In place of assign_glpk.c in a build without GLPK. */
#include "decide/assign.h"

earshot_status es_assign_glpk(const es_reduced *reduced, es_answer *answer)
{
    (void)reduced;
    (void)answer;
    return EARSHOT_NOT_BUILT_IN;
}

void es_assign_glpk_end(void)
{
}

bool es_assign_glpk_available(void)
{
    return false;
}
