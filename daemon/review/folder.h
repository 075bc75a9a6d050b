/* SPDX-License-Identifier: MIT */
/* The folder of a class: its sheets, overview.html and marks.csv. All of it is written beside what
 * is there, and put in its place in the end, so that a review that fails leaves nothing.
 */
#ifndef GAINWARDEN_REVIEW_FOLDER_H
#define GAINWARDEN_REVIEW_FOLDER_H

#include "review/review.h"

struct review_folder;

/* Makes the folder where it is missing; one that holds a review is refused, because somebody may
 * have gone on in it. `sheets`: so many at most. NULL with the problems. */
struct review_folder *review_folder_open(const char *path, int sheets, struct problems *problems);

/* Each false when something cannot be written, which was then told. */
bool review_folder_sheet(struct review_folder *folder, const struct setup *setup);
bool review_folder_finish(struct review_folder *folder, const struct review_class *list);

/* Removes what was not put in its place. */
void review_folder_close(struct review_folder *folder);

#endif
