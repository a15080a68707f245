"""The law and cost of carriage: what a carrier owes, until when it must be told, what freight is charged for."""
