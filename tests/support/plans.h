/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Plans and sites from text, for tests. Include after support/check.h. */
#ifndef TEST_PLANS_H
#define TEST_PLANS_H

#include <stdlib.h>
#include <string.h>

#include "earshot/earshot.h"

/* Read a plan that must be right; prints its mistakes if it is not. */
static inline earshot_plan *plan_of(const char *text)
{
    earshot_plan *plan = NULL;
    earshot_findings *findings = calloc(1, sizeof *findings);
    assert_non_null(findings);
    const earshot_status status = earshot_plan_read(text, strlen(text), "test.plan", &plan, findings);
    for (size_t i = 0; i < findings->n_mistakes && i < EARSHOT_MAX_FINDINGS; i++)
        print_error("line %u: %s\n", findings->mistake[i].line, findings->mistake[i].message);
    free(findings);
    assert_int_equal(status, EARSHOT_OK);
    assert_non_null(plan);
    return plan;
}

static inline earshot_site *site_of(const earshot_plan *plan, const char *scene)
{
    earshot_site *site = NULL;
    earshot_error error = {0};
    const earshot_status status = earshot_site_new(plan, scene, &site, &error);
    if (status) print_error("%s\n", error.message);
    assert_int_equal(status, EARSHOT_OK);
    return site;
}

/* Where the thing of a name stands in its array of the plan. */
static inline size_t device_named(const earshot_plan *plan, const char *name)
{
    size_t i = 0;
    while (i < plan->n_devices && strcmp(plan->device[i].name, name) != 0) i++;
    assert_true(i < plan->n_devices);
    return i;
}

static inline size_t mount_named(const earshot_plan *plan, const char *name)
{
    size_t i = 0;
    while (i < plan->n_mounts && strcmp(plan->mount[i].name, name) != 0) i++;
    assert_true(i < plan->n_mounts);
    return i;
}

static inline size_t material_named(const earshot_plan *plan, const char *name)
{
    size_t i = 0;
    while (i < plan->n_materials && strcmp(plan->material[i].name, name) != 0) i++;
    assert_true(i < plan->n_materials);
    return i;
}

/* Materials with round names and odd figures, so that tests do not hang on the built-in ones. */
#define TEST_MATERIALS                                                                                                 \
    "material thick loss=433.92:7.31,868.3:9.47 spread=2.7dB\n"                                                        \
    "material thin  loss=433.92:1.13,868.3:1.87 spread=0.9dB\n"                                                        \
    "material leaf  loss=433.92:1.61,868.3:2.29 spread=1.3dB\n"                                                        \
    "material pane  loss=433.92:0.37,868.3:0.71\n"                                                                     \
    "material deck  layers=wood:22mm,air:150mm,plasterboard:12.5mm spread=1.9dB\n"                                     \
    "material tank  loss=433.92:27.3,868.3:31.7 spread=5.3dB\n"

#endif
