"""The pages themselves: each module holds the pages of one place of the shop."""
