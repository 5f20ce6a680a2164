"""What people read: terminal table, offline page, calculation sheet, briefing, schedules, drawings, records, and files.

Everything takes one `shared.assessment.Assessment` and shows it. Nothing here calculates an engineering result: values
are picked, sorted, reduced to their worst and written out. Limits are rounded down and demands up; the numbers of a
calculation line are rounded to the nearest, with as many digits as working the line again needs.
"""

__all__: list[str] = []
