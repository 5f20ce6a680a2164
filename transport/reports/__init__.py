"""What people read: terminal table, offline page, calculation sheet, driver's briefing, and files for machines.

Everything takes one `shared.assessment.Assessment` and shows it. Nothing here calculates an engineering result: values
are picked, sorted, reduced to their worst and written out, and always rounded to the side of caution.
"""

__all__: list[str] = []
