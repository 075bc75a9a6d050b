/* SPDX-License-Identifier: MIT */
#include "review/folder.h"

#include <errno.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "core/need.h"

static const char overview[] = "overview.html", table[] = "marks.csv";

struct review_folder {
    char path[PATH_MAX], beside[PATH_MAX]; /* the folder, and the one inside it until the end */
    char (*names)[REVIEW_FILE_SIZE];       /* of what was written beside */
    size_t count;
};

enum { PATH_SIZE = PATH_MAX + REVIEW_FILE_SIZE };

/* "FOLDER/NAME" */
static const char *
join(char path[PATH_SIZE], const char *folder, const char *name)
{
    snprintf(path, PATH_SIZE, "%s/%s", folder, name);
    return path;
}

static bool
is_there(const char *path)
{
    struct stat status;

    return lstat(path, &status) == 0;
}

static void
release(struct review_folder *folder)
{
    free(folder->names);
    free(folder);
}

struct review_folder *
review_folder_open(const char *path, int sheets, struct problems *problems)
{
    struct review_folder *folder = need_memory(1, sizeof *folder);
    char there[PATH_SIZE];
    int length;

    folder->names = need_memory((size_t)sheets + 2, sizeof *folder->names);
    length = snprintf(folder->beside, sizeof folder->beside, "%s/.review-XXXXXX", path);
    snprintf(folder->path, sizeof folder->path, "%s", path);
    if (length >= (int)sizeof folder->beside - REVIEW_FILE_SIZE)
        problems_add(problems, "--to=%s: the path is too long", path);
    else if (mkdir(path, 0777) != 0 && errno != EEXIST)
        problems_add(problems, "--to=%s: cannot make the folder: %s", path, strerror(errno));
    else if (is_there(join(there, path, table)) || is_there(join(there, path, overview)))
        problems_add(problems, "--to=%s: holds a review already; name another folder", path);
    else if (!mkdtemp(folder->beside))
        problems_add(problems, "--to=%s: cannot write there: %s", path, strerror(errno));
    else
        return folder;
    release(folder);
    return NULL;
}

static FILE *
begin_file(struct review_folder *folder, const char *name)
{
    char path[PATH_SIZE];
    FILE *file = fopen(join(path, folder->beside, name), "w");

    if (file)
        snprintf(folder->names[folder->count++], REVIEW_FILE_SIZE, "%s", name);
    return file;
}

/* Closes it; false, told, when not all of it was written. */
static bool
end_file(struct review_folder *folder, FILE *file, const char *name)
{
    bool good = file && !ferror(file);

    if (file && fclose(file) != 0)
        good = false;
    if (!good)
        fprintf(stderr, "gainwarden: %s/%s: cannot write: %s\n", folder->path, name,
                strerror(errno));
    return good;
}

bool
review_folder_sheet(struct review_folder *folder, const struct setup *setup)
{
    FILE *file = begin_file(folder, setup->file);

    if (file)
        review_sheet(setup, file);
    return end_file(folder, file, setup->file);
}

/* Whether each file is new there, told before any is put in its place: in a table that is there
 * already, a trainer may have added marks by hand. */
static bool
has_places(const struct review_folder *folder)
{
    for (size_t i = 0; i < folder->count; i++) {
        char to[PATH_SIZE];

        if (is_there(join(to, folder->path, folder->names[i]))) {
            fprintf(stderr, "gainwarden: %s: is there already; name another folder with --to\n",
                    to);
            return false;
        }
    }
    return true;
}

static bool
put_in_place(struct review_folder *folder)
{
    for (size_t i = 0; i < folder->count; i++) {
        char from[PATH_SIZE], to[PATH_SIZE];

        if (rename(join(from, folder->beside, folder->names[i]),
                   join(to, folder->path, folder->names[i])) != 0) {
            fprintf(stderr, "gainwarden: %s: cannot write: %s\n", to, strerror(errno));
            return false;
        }
    }
    return true;
}

bool
review_folder_finish(struct review_folder *folder, const struct review_class *list)
{
    FILE *file = begin_file(folder, overview);

    if (file)
        review_overview(list, file);
    if (!end_file(folder, file, overview))
        return false;
    file = begin_file(folder, table);
    if (file)
        review_csv(list, file);
    if (!end_file(folder, file, table) || !has_places(folder) || !put_in_place(folder))
        return false;
    printf("%zu setup%s: %s/%s, %s/%s\n", list->count, list->count == 1 ? "" : "s", folder->path,
           overview, folder->path, table);
    return true;
}

void
review_folder_close(struct review_folder *folder)
{
    char path[PATH_SIZE];

    if (!folder)
        return;
    for (size_t i = 0; i < folder->count; i++)
        unlink(join(path, folder->beside, folder->names[i]));
    rmdir(folder->beside);
    release(folder);
}
