/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The sections of a report, in their order. A new one is a function in a file of its own, named here and in write.c. */
#ifndef ES_SECTIONS_H
#define ES_SECTIONS_H

#include "earshot/report.h"
#include "present/report/document.h"

typedef struct es_report {
    const earshot_report_request *request;
    const earshot_check *check; /* what is proposed */
    const earshot_plan *plan;
    es_document *document;
    earshot_language language;
} es_report;

typedef void es_section(const es_report *report);

es_section es_section_cover;       /* section_cover.c: facts of the site */
es_section es_section_answer;      /* section_answer.c: what is proposed */
es_section es_section_maps;        /* section_maps.c */
es_section es_section_devices;     /* section_devices.c: the table with verdicts */
es_section es_section_why;         /* section_why.c: those that need help */
es_section es_section_arrangement; /* section_arrangement.c: what place found, with cables */
es_section es_section_readings;    /* section_readings.c: levels read on site */
es_section es_section_what_if;     /* section_what_if.c: scenes, and what to ask about before doing it */
es_section es_section_assumptions; /* section_assumptions.c: what was assumed, cautions */
es_section es_section_appendix;    /* section_appendix.c: numbers for the next engineer */

/* ---- words.c: what several sections say ---- */

/* The label of a device, receiver or mount, or its name. */
const char *es_report_device(const es_report *report, size_t device);
const char *es_report_mount(const es_report *report, long mount);
/* Is there nothing to explain: the device is heard directly, or could be, or is wired by the plan? */
bool es_report_is_settled(const es_report *report, size_t device);
/* Adds the next of n names to a list in words: "a, b and c", "a, b and 4 more". */
void es_report_list(const es_report *report, earshot_text *text, const char *name, size_t i, size_t n);
/* A figure with a decimal only where it has one. Buffer of ES_SAY_FIGURE. */
const char *es_report_figure(const es_report *report, char *buffer, double value);
/* A margin as a person writes it: whole decibels. Buffer of ES_SAY_FIGURE. */
const char *es_report_db(const es_report *report, char *buffer, double db);

#endif
